// Opens HTML files in headless Chromium and prints what is wrong with them as JSON.
//
//   node look.mjs CHROMIUM FOLDER [--pictures] FILE...
//
// For each file and view: accessibility violations (axe-core, WCAG 2.2 A and AA), console errors,
// network requests, width beyond the screen. For each file once: what the HTML validator says, and
// a print to PDF on A4 and Letter in FOLDER. --pictures adds views and puts a picture of each there.

import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { pathToFileURL } from "node:url";
import { opened } from "./opened.mjs";
import { accessibility, tooWide, validate, views } from "./judges.mjs";

const [executablePath, folder, ...rest] = process.argv.slice(2);
const pictures = rest[0] === "--pictures";
const files = pictures ? rest.slice(1) : rest;
const VIEWS = views("desktop", 1280, pictures);

async function look(context, file, view) {
  const page = await context.newPage();
  const told = [];
  page.on("console", (message) => message.type() === "error" && told.push(message.text()));
  page.on("request", (request) => {
    if (!request.url().startsWith("file:")) told.push(`request: ${request.url()}`);
  });
  await page.setViewportSize({ width: view.width, height: view.height });
  await page.emulateMedia({ colorScheme: view.colorScheme });
  await page.goto(pathToFileURL(file).href);
  told.push(...await tooWide(page));
  const picture = `${folder}/${basename(file)}-${view.name}.png`;
  if (pictures) await page.screenshot({ path: picture, fullPage: true });
  const judged = await accessibility(page);
  told.push(...judged.told);
  await page.close();
  return { told, passed: judged.passed };
}

async function print(context, file) {
  const page = await context.newPage();
  await page.goto(pathToFileURL(file).href);
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ format, path: `${folder}/${basename(file)}-${format}.pdf` });
  }
  await page.close();
}

const context = await opened(executablePath, folder);
const results = {};
try {
  for (const file of files) {
    const result = { validator: await validate(readFileSync(file, "utf8")), views: {} };
    for (const view of VIEWS) result.views[view.name] = await look(context, file, view);
    await print(context, file);
    results[file] = result;
  }
} finally {
  await context.close();
}
console.log(JSON.stringify(results));
