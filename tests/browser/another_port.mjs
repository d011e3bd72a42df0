// Opens the page, then other servers of this computer, then the page again. Prints what was seen.
//
//   node another_port.mjs CHROMIUM FOLDER ADDRESS OTHER...

import { opened } from "./opened.mjs";

const [executablePath, folder, address, ...others] = process.argv.slice(2);
const context = await opened(executablePath, folder);
try {
  const page = await context.newPage();
  await page.goto(address);
  const seen = { url: page.url(), others: [] };
  for (const other of others) {
    await page.goto(other);
    seen.others.push(await page.locator("p").innerText());
  }
  seen.again = (await page.goto(seen.url)).status();
  console.log(JSON.stringify(seen));
} finally {
  await context.close();
}
