// Opens pages of the served documentation in headless Chromium, light and dark, and prints as JSON
// what went wrong on each: errors of scripts and of the console, and what could not be fetched.
//
//   node site.mjs CHROMIUM FOLDER ADDRESS...

import { opened } from "./opened.mjs";

const [executablePath, folder, ...addresses] = process.argv.slice(2);
const context = await opened(executablePath, folder);
const results = {};
try {
  for (const address of addresses) {
    for (const colorScheme of ["light", "dark"]) {
      const page = await context.newPage();
      const told = [];
      page.on("pageerror", (error) => told.push(`error: ${error}`));
      page.on("console", (message) => message.type() === "error" && told.push(message.text()));
      page.on("response", (one) => one.status() >= 400 && told.push(`${one.status()} ${one.url()}`));
      await page.emulateMedia({ colorScheme });
      await page.goto(address, { waitUntil: "load" });
      const shown = await page.evaluate(() => document.documentElement.dataset.bsTheme);
      if (shown !== colorScheme) told.push(`shown ${shown}`);
      results[`${address} ${colorScheme}`] = told;
      await page.close();
    }
  }
} finally {
  await context.close();
}
console.log(JSON.stringify(results));
