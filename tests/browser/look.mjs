// Opens HTML files in headless Chromium and prints what is wrong with them as JSON.
//
//   node look.mjs CHROMIUM PROFILE_FOLDER PICTURES|- FILE...
//
// For each file and each view (phone, desktop; light, dark): accessibility violations (axe-core,
// WCAG 2.2 A and AA), console errors, network requests, width beyond the screen. For each file
// once: what the HTML validator says, and a print to PDF.

import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";
import { basename } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { HtmlValidate } from "html-validate";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [executablePath, profile, pictures, ...files] = process.argv.slice(2);
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const VIEWS = [
  { name: "phone", width: 360, height: 740, colorScheme: "light" },
  { name: "phone-dark", width: 360, height: 740, colorScheme: "dark" },
  { name: "desktop", width: 1200, height: 900, colorScheme: "light" },
  { name: "desktop-dark", width: 1200, height: 900, colorScheme: "dark" },
];

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
  if (pictures !== "-") {
    await page.screenshot({ path: `${pictures}/${basename(file)}-${view.name}.png`, fullPage: true });
  }
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

async function print(context, file, format) {
  const page = await context.newPage();
  await page.goto(pathToFileURL(file).href);
  const pdf = await page.pdf({ format, preferCSSPageSize: false });
  await page.close();
  if (pictures !== "-") writeFileSync(`${pictures}/${basename(file)}-${format}.pdf`, pdf);
  return pdf.length;
}

const context = await chromium.launchPersistentContext(profile, {
  executablePath,
  args: [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
  ],
});
const results = {};
try {
  for (const file of files) {
    const result = { validator: await validate(file), views: {}, printed: {} };
    for (const view of VIEWS) result.views[view.name] = await look(context, file, view);
    for (const format of ["A4", "Letter"]) result.printed[format] = await print(context, file, format);
    results[file] = result;
  }
} finally {
  await context.close();
}
console.log(JSON.stringify(results));
