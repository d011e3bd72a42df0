// A person changes the text and a field at once, types while the server is slow or gone, and leaves
// with unsaved edits. Prints what was seen as JSON.
//
//   node racing.mjs CHROMIUM FOLDER ADDRESS

import { opened } from "./opened.mjs";

const [executablePath, folder, address] = process.argv.slice(2);
const origin = new URL(address).origin;
const context = await opened(executablePath, folder);
const page = await context.newPage();
const asked = [];
page.on("dialog", (dialog) => {
  asked.push(dialog.type());
  dialog.accept();
});

const text = page.locator("#text");
const field = (name) => page.locator(`[id="f.${name}"]`);
const heading = () => page.locator("#found-heading").innerText();
const idle = () => page.waitForFunction(() => !document.querySelector("[data-found][aria-busy]"));
const open = () => page.goto(`${origin}/edit?profile=kestrel.toml`);
const state = async () => ({
  text: await text.inputValue(), high: await field("cutoffs.high").inputValue(),
  low: await field("cutoffs.low").inputValue(), heading: await heading(),
});
// As a person does it, in the text that stands there then: read, and filled in whole a moment later,
// it would take back what an answer wrote into it meanwhile.
const inText = (old, now) => text.evaluate((box, [before, after]) => {
  const at = box.value.indexOf(before);
  box.setRangeText(after, at, at + before.length);
  box.dispatchEvent(new InputEvent("input", { bubbles: true }));
}, [old, now]);

const seen = { races: [] };
try {
  await page.goto(address);
  for (const delay of [0, 150, 400]) {
    for (const textFirst of [true, false]) {
      await open();
      const steps = [() => inText("low = 60", "low = 50"), () => field("cutoffs.high").fill("240")];
      if (!textFirst) steps.reverse();
      await steps[0]();
      await page.waitForTimeout(delay);
      await steps[1]();
      await idle();
      const after = await state();
      await field("method.id").fill("Other");
      await idle();
      seen.races.push({ delay, textFirst, after, later: await state() });
    }
  }

  // What a band needs is needed only while some of it is given.
  await open();
  const needed = () => page.locator('[id="f.expected"] [aria-required]').count();
  const labels = () => page.locator('[id="f.expected"] .needed').count();
  seen.needed = [[await needed(), await labels()]];
  for (const [key, typed] of [["low", ""], ["high", ""], ["high", "180"]]) {
    await field(`expected.${key}`).fill(typed);
    await idle();
    seen.needed.push([await needed(), await labels()]);
  }

  // The unit beside a bare number is the one it is read in.
  await open();
  seen.units = [];
  for (const unit of ["psi", "MPa", "bar", "psi"]) {
    await field("instrument.pressure_unit").selectOption(unit);
    await idle();
    const beside = ["cutoffs.high", "cutoffs.low", "expected.low"].map((name) =>
      page.locator(`[id="f.${name}-unit"]`).innerText());
    seen.units.push([unit, ...await Promise.all(beside)]);
  }

  await open();
  await field("cutoffs.high").fill("500");
  await idle();
  const found = page.locator('[id="f.cutoffs.high-found"]');
  const atField = async () => ({
    heading: await heading(), found: await found.innerText(),
    busy: await found.getAttribute("aria-busy"),
  });
  seen.wrong = await atField();
  let go;
  const waiting = new Promise((resolve) => { go = resolve; });
  await page.route("**/edit", async (route) => { await waiting; await route.continue(); });
  await field("cutoffs.high").fill("240");
  seen.slow = await atField();
  go();
  await idle();
  seen.answered = await atField();
  await page.unroute("**/edit");
  await page.route("**/edit", (route) => route.abort());
  await field("cutoffs.high").fill("500");
  await page.waitForFunction(() =>
    document.getElementById("found-heading").textContent.startsWith("Not checked"));
  seen.gone = await atField();
  await page.unroute("**/edit");
  await field("cutoffs.high").fill("230");
  await idle();
  seen.back = await atField();

  const press = (name) => Promise.all([
    page.waitForNavigation(), page.getByRole("button", { name }).first().click(),
  ]);
  const overview = () => Promise.all([
    page.waitForNavigation(), page.getByRole("link", { name: "Overview" }).click(),
  ]);
  asked.splice(0);
  await press("Show what would be saved");
  await press("Back to the form");
  seen.quietly = asked.length;
  await overview();
  seen.asked = asked.length;
  await open();
  await field("cutoffs.high").fill("230");
  await idle();
  await press("Show what would be saved");
  await press("Save it");
  seen.saved = { address: page.url(), main: await page.locator("main").innerText() };
  await page.reload();
  seen.reloaded = await page.locator("main").innerText();
  await overview();
  await page.goBack();
  seen.again = await page.locator("main").innerText();
  seen.askedAtLast = asked.length;
} finally {
  await context.close();
}
console.log(JSON.stringify(seen));
