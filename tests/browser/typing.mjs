// Types into the served page in headless Chromium, and prints what was shown and how soon as JSON.
//
//   node typing.mjs CHROMIUM FOLDER ADDRESS [ROUNDS]
//
// For each screen that answers while somebody types: the answer, where the focus was, what a screen
// reader is told, the address; then what happens to older questions, to an empty field, and where the
// page has ended. `times` are ms from the last key to the answer in the document, `empty` those of
// a fetch of nothing from the same server in between.

import { opened } from "./opened.mjs";

const [executablePath, folder, address, rounds = "1"] = process.argv.slice(2);
const origin = new URL(address).origin;
const TEA = "profile=transfer%2Fkestrel-bay.toml";
const SCREENS = {
  entry: { path: `/entry?${TEA}`, label: "Number", texts: ["35", "400", "250 bar", "1,500"] },
  convert: { path: "/convert", label: "Pressure with its unit", texts: ["6000 psi", "41 MPa"] },
  filter: { path: "/", label: "Method or file", texts: ["tea-031", "clean", "nothing of this"] },
};

const BY_BUTTON = [
  ["reading", `/reading?${TEA}&pressure=300`, "Pressure read", "390"],
  ["transfer", `/transfer?${TEA}&to=transfer%2Fharrow-mill-11.toml`,
    "The method where it is going to run", "transfer/harrow-mill-07.toml"],
];
const DIMMED = () => {
  const child = document.querySelector("[aria-busy=true] > *");
  return child !== null && getComputedStyle(child).opacity < 0.5;
};

const context = await opened(executablePath, folder);
const page = await context.newPage();
const told = [];
page.on("pageerror", (error) => told.push(`error: ${error}`));
page.on("console", (message) => told.push(`console: ${message.text()}`));

const look = () => page.evaluate(() => ({
  said: document.getElementById("said").textContent,
  focus: document.activeElement.labels?.[0]?.innerText ?? document.activeElement.tagName,
  typed: document.activeElement.value,
  caret: document.activeElement.selectionStart,
  invalid: document.activeElement.getAttribute("aria-invalid"),
  wrong: document.querySelector(".wrong")?.innerText ?? "",
  main: document.querySelector("main").innerText,
  url: location.pathname + location.search,
}));

// What the answer on the screen is worth, to the eye.
const worth = () => page.evaluate(() => {
  const place = document.querySelector("[aria-busy=true]");
  const child = place?.querySelector(":scope > *");
  return {
    told: document.querySelector(".checking")?.innerText ?? "",
    opacity: child ? Number(getComputedStyle(child).opacity) : 1,
  };
});

// Types all but the last key, then that one; ms until the document shows an answer that is new.
async function type(label, text) {
  const field = page.getByLabel(label, { exact: true });
  await field.fill(text.slice(0, -1));
  await page.waitForFunction(() => !document.querySelector("[aria-busy]"));
  await page.evaluate(() => {
    const place = document.querySelector(document.querySelector("form[data-live]").dataset.live);
    window.shown = new Promise((done) => {
      const seen = new MutationObserver(() => { seen.disconnect(); done(performance.now()); });
      seen.observe(place, { childList: true });
    });
    document.activeElement.addEventListener("input", () => { window.key = performance.now(); },
      { once: true });
  });
  await field.press(text.at(-1) === " " ? "Space" : text.at(-1));
  return page.evaluate(async () => (await window.shown) - window.key);
}

const empty = () => page.evaluate(async () => {
  const start = performance.now();
  await (await fetch("/icon.svg")).text();
  return performance.now() - start;
});

const results = { screens: {}, times: [], empty: [] };
try {
  await page.goto(address);
  for (let round = 0; round < Number(rounds); round += 1) {
    for (const [name, { path, label, texts }] of Object.entries(SCREENS)) {
      await page.goto(origin + path);
      for (const text of texts) {
        results.times.push(await type(label, text));
        results.empty.push(await empty());
        results.screens[`${name}: ${text}`] = await look();
      }
    }
  }
  // Older questions are given up: only the last of many quick keys is answered.
  await page.goto(`${origin}/entry?${TEA}`);
  const asked = [];
  page.on("request", (request) => asked.push(new URL(request.url()).searchParams.get("value")));
  await page.getByLabel("Number").pressSequentially("400000", { delay: 5 });
  await page.waitForFunction(() => document.getElementById("said").textContent.includes("400000"));
  results.asked = [...asked];
  await page.getByLabel("Number").fill("");
  await page.waitForTimeout(300);
  results.emptied = await look();
  results.emptied.title = await page.title();
  // While a question is not answered, the old answer does not stand as if it were that.
  results.waiting = {};
  for (const [name, { path, label, texts }] of Object.entries(SCREENS)) {
    await page.goto(origin + path);
    await page.getByLabel(label, { exact: true }).fill(texts[0]);
    await page.waitForFunction(() => document.getElementById("said").textContent !== "");
    results.waiting[`${name} before`] = await worth();
    await page.route(/\?/, async (route) => {
      await new Promise((done) => { setTimeout(done, 1500); });
      await route.continue().catch(() => {});
    });
    await page.getByLabel(label, { exact: true }).fill(texts[1]);
    await page.waitForFunction(DIMMED);
    results.waiting[name] = await worth();
    await page.waitForFunction(() => !document.querySelector("[aria-busy]"));
    results.waiting[`${name} after`] = await worth();
    await page.unroute(/\?/);
  }
  // A screen that is answered by its button says that its fields have changed, and back again.
  for (const [name, path, label, text] of BY_BUTTON) {
    await page.goto(`${origin}${path}`);
    const field = page.getByLabel(label, { exact: true });
    const was = await field.inputValue();
    results.waiting[`${name} before`] = await worth();
    if (await field.evaluate((one) => one.tagName === "SELECT")) await field.selectOption(text);
    else await field.fill(text);
    await page.waitForFunction(DIMMED);
    results.waiting[name] = await worth();
    if (await field.evaluate((one) => one.tagName === "SELECT")) await field.selectOption(was);
    else await field.fill(was);
    results.waiting[`${name} after`] = await worth();
  }
  // On paper a grade is told by dark words: backgrounds are not printed.
  await page.emulateMedia({ media: "print" });
  await page.goto(`${origin}/`);
  results.printed = await page.evaluate(() => [...document.querySelectorAll(".grade")].map((one) => ({
    color: getComputedStyle(one).color,
    background: getComputedStyle(one).backgroundColor,
  })));
  await page.emulateMedia({ media: null });
  await page.goto(`${origin}/entry?${TEA}`);
  // Where nobody answers, it is said.
  await page.route("**/entry*", (route) => route.abort());
  await page.getByLabel("Number").fill("400");
  await page.waitForFunction(() => document.getElementById("said").textContent !== "");
  results.gone = await look();
} finally {
  await context.close();
}
results.told = told;
console.log(JSON.stringify(results));
