// Opens the file that leads to the page in headless Chromium, and prints where that ends as JSON.
//
//   node opening.mjs CHROMIUM FOLDER FILE

import { pathToFileURL } from "node:url";
import { opened } from "./opened.mjs";

const [executablePath, folder, file] = process.argv.slice(2);
const context = await opened(executablePath, folder);
try {
  const page = await context.newPage();
  await page.goto(pathToFileURL(file).href);
  await page.waitForURL((url) => url.protocol === "http:" && url.search === "");
  const cookies = await context.cookies();
  console.log(JSON.stringify({
    url: page.url(),
    heading: await page.locator("h1").innerText(),
    cookies: cookies.map(({ httpOnly, sameSite }) => ({ httpOnly, sameSite })),
  }));
} finally {
  await context.close();
}
