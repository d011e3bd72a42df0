// A person makes a profile on the served page by keyboard alone, and prints what happened as JSON.
//
//   node editing.mjs CHROMIUM FOLDER [--pictures] ADDRESS
//
// Begins from a starting profile, breaks it with a number of another unit, sees the finding while
// typing, mends it, saves it and prints the report. Nothing is clicked and no field is set from
// outside: Tab, Enter, arrows and typing only. Each screen is judged at 320, 400 and 1280 px, light
// and dark and as print, by axe-core and the HTML validator. --pictures puts pictures into FOLDER.

import { opened } from "./opened.mjs";
import { accessibility, tooWide, validate } from "./judges.mjs";

const [executablePath, folder, ...rest] = process.argv.slice(2);
const pictures = rest[0] === "--pictures";
const [address] = pictures ? rest.slice(1) : rest;
const origin = `${new URL(address).origin}/`;
const LOOKS = [[320, "light"], [400, "dark"], [1280, "light"], [1280, "dark"], [1280, "print"]];

const context = await opened(executablePath, folder);
const page = await context.newPage();
const told = [];
const documents = [];
page.on("console", (message) => told.push(`console: ${message.text()}`));
page.on("pageerror", (error) => told.push(`error: ${error}`));
page.on("request", (request) => {
  if (!request.url().startsWith(origin)) told.push(`request: ${request.url()}`);
});
page.on("response", (response) =>
  response.request().resourceType() === "document" && documents.push(response));

const at = () => page.evaluate(() => {
  const element = document.activeElement;
  const label = (element.labels?.[0] ?? element).textContent.replace(/\s+/g, " ").trim();
  return { id: element.id, name: label, value: element.value };
});

// Tab until the focus is where `wanted` says; an element that is never reached is a fault.
async function tabTo(wanted, key = "Tab") {
  for (let turn = 0; turn < 400; turn += 1) {
    const here = await at();
    if (wanted(here)) return here;
    await page.keyboard.press(key);
  }
  throw new Error(`the Tab key never reaches what was wanted; it is at ${JSON.stringify(await at())}`);
}
const named = (name) => (here) => here.name.startsWith(name);
const isId = (id) => (here) => here.id === id;
const enter = () => Promise.all([page.waitForNavigation(), page.keyboard.press("Enter")]);

async function retype(text) {
  await page.keyboard.press("Control+A");
  await page.keyboard.type(text);
}
// The answer to what was typed has come when the text beside the form holds it.
const holds = (words) => page.waitForFunction((wanted) =>
  document.getElementById("text").value.includes(wanted), words);

async function look(name) {
  const problems = [];
  for (const [width, kind] of LOOKS) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia(kind === "print"
      ? { media: "print", colorScheme: "light" } : { media: "screen", colorScheme: kind });
    problems.push(...await tooWide(page), ...(await accessibility(page)).told
      .map((text) => `${width} ${kind}: ${text}`));
    if (pictures) {
      await page.screenshot({ path: `${folder}/${name}-${width}-${kind}.png`, fullPage: true });
    }
  }
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.emulateMedia({ media: "screen", colorScheme: "light" });
  problems.push(...await validate(await documents.at(-1).text()), ...told.splice(0));
  return { problems, main: await page.locator("main").innerText() };
}

// A part and a gradient point are added, filled in, moved and removed; tells where the focus went.
async function partsByKeyboard() {
  const went = [];
  const press = async (id, next, key = "Tab") => {
    await tabTo(isId(id), key);
    await page.keyboard.press("Enter");
    await page.waitForFunction((wanted) => document.activeElement.id === wanted, next);
    went.push({ ...(await at()), said: await page.locator("#said").innerText() });
  };
  const text = () => page.locator("#text").inputValue();
  const before = await text();
  await press("add-flow_path-1", "f.flow_path.1.part");
  await page.keyboard.type("tubing");
  await holds('part = "tubing"\n\n');
  await tabTo(isId("f.flow_path.1.bore"));
  await page.keyboard.type("0.17 mm");
  await holds('bore = "0.17 mm"\n\n');
  const added = await text();
  await press("down-flow_path-1", "down-flow_path-2");
  const down = await text();
  await press("up-flow_path-2", "up-flow_path-1", "Shift+Tab");
  const up = await text();
  await press("remove-flow_path-1", "f.flow_path.1");
  const removed = await text();
  await press("add-conditions.gradient-0", "f.conditions.gradient.0.minute", "Shift+Tab");
  await page.keyboard.type("5");
  await holds("gradient = [{ minute = 5 }]");
  await press("add-conditions.gradient-1", "f.conditions.gradient.1.minute");
  const points = await text();
  await press("remove-conditions.gradient-1", "f.conditions.gradient.0");
  await press("remove-conditions.gradient-0", "f.conditions.gradient");
  await tabTo(named("Also possible here (1. pump"), "Shift+Tab");
  await page.keyboard.press("Enter");
  await press("add-flow_path.0.rating_at_flow-0", "f.flow_path.0.rating_at_flow.0.flow");
  await page.keyboard.type("5 mL/min");
  await holds('rating_at_flow = [{ flow = "5 mL/min" }]');
  await tabTo(isId("f.flow_path.0.rating_at_flow.0.rating"));
  await page.keyboard.type("400 bar");
  await holds('rating_at_flow = [{ flow = "5 mL/min", rating = "400 bar" }]');
  await press("add-flow_path.0.rating_at_flow-1", "f.flow_path.0.rating_at_flow.1.flow");
  const ratings = await text();
  if (pictures) await page.screenshot({ path: `${folder}/ratings.png`, fullPage: true });
  await press("up-flow_path.0.rating_at_flow-1", "down-flow_path.0.rating_at_flow-0");
  const ratingMoved = await text();
  await press("remove-flow_path.0.rating_at_flow-0", "f.flow_path.0.rating_at_flow.0");
  await press("remove-flow_path.0.rating_at_flow-0", "f.flow_path.0");
  return { went, ratings, ratingMoved, before, added, down, up, removed, points, after: await text() };
}

const seen = {};
try {
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.goto(address);
  await tabTo(named("Make or change a profile"));
  await enter();
  seen.choose = await look("choose");
  await tabTo(named("Make a new profile"));
  await enter();
  await tabTo(isId("like"));
  await page.keyboard.type("Conventional instrument rated 400 bar that shows bar");
  await tabTo(isId("id"));
  await page.keyboard.type("KB-NEW-001");
  await tabTo(isId("instrument"));
  await page.keyboard.type("KB-LC-03");
  await tabTo(isId("name"));
  await page.keyboard.type("site/../bad");
  seen.begin = await look("begin");
  await tabTo(isId("name"));
  await enter();
  seen.refused = await look("refused");
  await tabTo(isId("name"));
  await retype("made.toml");
  await enter();
  seen.form = await look("form");

  const high = await tabTo(isId("f.cutoffs.high"));
  await retype("1610"); // 111 bar as psi shows it
  await holds("high = 1610");
  const broken = await at();
  seen.broken = await look("broken");
  seen.broken.focus = broken;
  seen.broken.said = await page.locator("#said").innerText();
  seen.broken.found = await page.locator("#f\\.cutoffs\\.high-found").innerText();
  seen.broken.invalid = await page.locator("#f\\.cutoffs\\.high").getAttribute("aria-invalid");

  await tabTo(isId("f.cutoffs.high"));
  await page.keyboard.press("Control+A");
  await page.keyboard.press("Delete");
  await page.waitForFunction(() => !document.getElementById("text").value.includes("high = 1610"));
  await retype("OFF");
  await holds("high = 0\n");
  seen.off = await at();
  seen.off.found = await page.locator("#f\\.cutoffs\\.high-found").innerText();
  await retype("0x75 bar");
  await page.waitForFunction(() => document.getElementById("f.cutoffs.high-found").innerText
    .includes("Not written"));
  seen.programs = { found: await page.locator("#f\\.cutoffs\\.high-found").innerText() };
  await retype(high.value);
  await holds(`high = ${high.value}`);
  await page.waitForFunction(() => !document.getElementById("f.cutoffs.high").hasAttribute("aria-invalid"));
  seen.mended = { focus: await at(), found: await page.locator("#f\\.cutoffs\\.high-found").innerText(),
    invalid: await page.locator("#f\\.cutoffs\\.high").getAttribute("aria-invalid") };

  seen.parts = await partsByKeyboard();
  seen.list = await look("parts");

  await tabTo(isId("text"));
  await page.keyboard.press("Control+End");
  await page.keyboard.type("# written by hand\n");
  await page.waitForTimeout(600);
  seen.text = { focus: await at(), high: await page.locator("#f\\.cutoffs\\.high").inputValue() };
  await tabTo(named("Show what would be saved"));
  await enter();
  seen.confirm = await look("confirm");
  await tabTo(named("Save it"));
  await enter();
  seen.saved = await look("saved");
  await tabTo(named("Change it further"));
  await enter();
  await tabTo(isId("f.cutoffs.high"));
  await retype("500");
  await holds("high = 500");
  await tabTo(named("Show what would be saved"));
  await enter();
  seen.errors = await look("errors");
  await tabTo(named("Back to the form"));
  await enter();
  await tabTo(named("Overview"));
  await enter();
  await page.goto(`${origin}edit?profile=made.toml`);
  await tabTo(isId("f.method.title"));
  await retype("Ours");
  await holds('title = "Ours"');
  await tabTo(named("Show what would be saved"));
  await enter();
  await tabTo(named("Save it"));
  await enter();
  await tabTo(named("See what is found in it"));
  await enter();
  seen.profile = await look("profile");
  await tabTo(named("Download the report"));
  const [download] = await Promise.all([page.waitForEvent("download"), page.keyboard.press("Enter")]);
  const record = await context.newPage();
  await record.goto(`file://${await download.path()}`);
  await record.pdf({ format: "A4", path: `${folder}/record.pdf` });
  seen.record = { name: download.suggestedFilename(), text: await record.locator("body").innerText() };
} catch (error) {
  if (pictures) await page.screenshot({ path: `${folder}/fault.png`, fullPage: true });
  throw error;
} finally {
  await context.close();
}
console.log(JSON.stringify(seen));
