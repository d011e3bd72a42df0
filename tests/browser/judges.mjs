// What the browser scripts judge a page by: accessibility, HTML validity, width.

import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { HtmlValidate } from "html-validate";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: { "no-inline-style": "off", "long-title": "off" },
});

// Phone in light and the wide screen in dark; for pictures the other two as well.
export function views(wide, width, pictures) {
  const phone = { name: "phone", width: 320, height: 740 };
  const screen = { name: wide, width, height: 900 };
  const two = [{ ...phone, colorScheme: "light" },
    { ...screen, name: `${wide}-dark`, colorScheme: "dark" }];
  const others = [{ ...phone, name: "phone-dark", colorScheme: "dark" },
    { ...screen, colorScheme: "light" },
    ...["light", "dark"].map((colorScheme) =>
      ({ name: `wider-phone-${colorScheme}`, width: 400, height: 800, colorScheme }))];
  return pictures ? [...two, ...others] : two;
}

export async function validate(text) {
  const report = await validator.validateString(text);
  return report.results.flatMap((result) =>
    result.messages.map((m) => `${m.ruleId} at ${m.line}:${m.column}: ${m.message}`));
}

export async function tooWide(page) {
  const beyond = await page.evaluate(() =>
    document.documentElement.scrollWidth - document.documentElement.clientWidth);
  const cut = await page.evaluate(() => [...document.querySelectorAll(".wide")]
    .filter((box) => box.scrollWidth > box.clientWidth).map((box) => box.ariaLabel));
  return [...(beyond > 0 ? [`${beyond} px wider than the screen`] : []),
    ...cut.map((label) => `a column is off the screen: ${label}`)];
}

// Evaluated by the protocol, which a page's own content security policy does not reach.
export async function accessibility(page) {
  const found = await page.evaluate(`${axe}; axe.run({ runOnly: { type: "tag",
    values: ${JSON.stringify(RULES)} } })`);
  const told = found.violations.map((violation) => {
    const where = violation.nodes.map((node) => node.target.join(" ")).slice(0, 3).join("; ");
    return `${violation.id}: ${violation.help} (${where})`;
  });
  return { told, passed: found.passes.length };
}
