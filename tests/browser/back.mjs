// Errors that come while somebody types, the browser's own way back, and a button followed at once
// by a key or another button. Prints what was seen as JSON.
//
//   node back.mjs CHROMIUM FOLDER ADDRESS

import { opened } from "./opened.mjs";

const [executablePath, folder, address] = process.argv.slice(2);
const origin = new URL(address).origin;
const context = await opened(executablePath, folder);
const page = await context.newPage();
let asked = 0;
page.on("dialog", (dialog) => { asked += 1; dialog.accept(); });

const text = page.locator("#text");
const high = page.locator('[id="f.cutoffs.high"]');
const idle = () => page.waitForFunction(() => !document.querySelector("[data-found][aria-busy]"));
const open = () => page.goto(`${origin}/edit?profile=kestrel.toml`);
const list = () => page.evaluate(() => {
  const now = document.getElementById("now").getBoundingClientRect();
  return {
    heading: document.getElementById("found-heading").innerText,
    now: document.getElementById("now").innerText,
    seen: now.top >= 0 && now.bottom <= innerHeight,
    open: document.getElementById("found-list")?.open,
  };
});
const state = async () => ({
  high: await high.inputValue(), text: await text.inputValue(), ...await list(),
});
const parts = () => page.locator('[id^="f.flow_path."][id$=".part"]').count();

const seen = {};
try {
  await page.goto(address);
  await page.setViewportSize({ width: 320, height: 700 });
  await open();
  seen.before = await list();
  await high.fill("28");
  await idle();
  seen.typed = await list();
  await page.locator("#found-list > summary").click();
  await high.fill("29");
  await idle();
  seen.byHand = await list();
  await open();
  await text.fill("format = 1\n[[[");
  await idle();
  seen.broken = await list();

  await open();
  await high.fill("28");
  await idle();
  await Promise.all([page.waitForNavigation(), page.locator("#save").click()]);
  await page.goBack();
  await idle();
  seen.back = await state();
  asked = 0;
  await page.goto(`${origin}/convert`);
  seen.asked = asked;

  await open();
  seen.partsBefore = await parts();
  await page.route("**/edit", async (route) => {
    await new Promise((resolve) => { setTimeout(resolve, 500); });
    await route.continue();
  });
  const remove = page.locator('button[value="remove flow_path 0"]');
  await remove.click();
  await high.pressSequentially("9");
  await remove.click();
  await idle();
  seen.partsAfter = await parts();
  seen.after = await state();
  await page.unroute("**/edit");
  await high.fill("245");
  await idle();
  seen.later = await state();

  await page.goto(`${origin}/transfer?profile=kestrel.toml`);
  const selects = page.locator("main select");
  const chosen = () => selects.evaluateAll((all) => all.map((one) => one.value));
  seen.chosenBefore = await chosen();
  await selects.last().selectOption({ index: 1 });
  await page.goto(`${origin}/convert`);
  await page.goBack();
  seen.chosenAfter = await chosen();
  console.log(JSON.stringify(seen));
} finally {
  await context.close();
}
