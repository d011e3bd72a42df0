// Opens HTML files in headless Chromium and prints what is wrong with them as JSON.
//
//   node look.mjs CHROMIUM FOLDER [--pictures] FILE...
//
// For each file and view: accessibility violations (axe-core, WCAG 2.2 A and AA), console errors,
// network requests, width beyond the screen. For each file once: what the HTML validator says, and
// a print to PDF on A4 and Letter in FOLDER. --pictures adds views and puts a picture of each there.

import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { HtmlValidate } from "html-validate";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [executablePath, folder, ...rest] = process.argv.slice(2);
const pictures = rest[0] === "--pictures";
const files = pictures ? rest.slice(1) : rest;
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const VIEWS = [
  { name: "phone", width: 360, height: 740, colorScheme: "light" },
  { name: "desktop-dark", width: 1200, height: 900, colorScheme: "dark" },
];
if (pictures) {
  VIEWS.push({ name: "phone-dark", width: 360, height: 740, colorScheme: "dark" });
  VIEWS.push({ name: "desktop", width: 1200, height: 900, colorScheme: "light" });
}

const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: { "no-inline-style": "off", "long-title": "off" },
});

async function validate(file) {
  const report = await validator.validateString(readFileSync(file, "utf8"));
  return report.results.flatMap((result) =>
    result.messages.map((m) => `${m.ruleId} at ${m.line}:${m.column}: ${m.message}`));
}

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
  const beyond = await page.evaluate(() =>
    document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (beyond > 0) told.push(`${beyond} px wider than the screen`);
  const picture = `${folder}/${basename(file)}-${view.name}.png`;
  if (pictures) await page.screenshot({ path: picture, fullPage: true });
  await page.evaluate(axe);
  const found = await page.evaluate(
    (tags) => axe.run({ runOnly: { type: "tag", values: tags } }), RULES);
  for (const violation of found.violations) {
    const where = violation.nodes.map((node) => node.target.join(" ")).slice(0, 3).join("; ");
    told.push(`${violation.id}: ${violation.help} (${where})`);
  }
  await page.close();
  return { told, passed: found.passes.length };
}

async function print(context, file) {
  const page = await context.newPage();
  await page.goto(pathToFileURL(file).href);
  for (const format of ["A4", "Letter"]) {
    await page.pdf({ format, path: `${folder}/${basename(file)}-${format}.pdf` });
  }
  await page.close();
}

const context = await chromium.launchPersistentContext(`${folder}/browser-profile`, {
  executablePath,
  args: [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
  ],
});
const results = {};
try {
  for (const file of files) {
    const result = { validator: await validate(file), views: {} };
    for (const view of VIEWS) result.views[view.name] = await look(context, file, view);
    await print(context, file);
    results[file] = result;
  }
} finally {
  await context.close();
}
console.log(JSON.stringify(results));
