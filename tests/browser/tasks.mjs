// Does the tasks on the served page in headless Chromium, and prints what happened as JSON.
//
//   node tasks.mjs CHROMIUM FOLDER [--pictures] ADDRESS DROPPED.toml LOG.csv
//
// Fields are found by their labels and forms are sent with the keyboard. For each view and screen:
// the answer's text, accessibility violations (axe-core, WCAG 2.2 A and AA), what the HTML
// validator says, console errors, requests that leave ADDRESS, width beyond the screen; then the
// order of the Tab key, and a download. --pictures adds views and puts pictures into FOLDER.

import { readFileSync } from "node:fs";
import { opened } from "./opened.mjs";
import { accessibility, tooWide, validate, views } from "./judges.mjs";

const [executablePath, folder, ...rest] = process.argv.slice(2);
const pictures = rest[0] === "--pictures";
const [address, dropped, log] = pictures ? rest.slice(1) : rest;
const origin = `${new URL(address).origin}/`;
const VIEWS = views("wide", 1280, pictures);

const follow = async (page, locator) =>
  Promise.all([page.waitForNavigation(), locator.press("Enter")]);
const send = async (page, label) => follow(page, page.getByLabel(label));
const link = async (page, name) => follow(page, page.getByRole("link", { name }).first());
const choose = async (page, label, name) => page.getByLabel(label).selectOption(name);

const take = async (page, file) =>
  follow(page, page.locator("tr", { hasText: file }).getByRole("link"));

const SCREENS = {
  home: async (page) => page.goto(address),
  chosen: async (page) => {
    await take(page, "transfer/kestrel-bay.toml");
  },
  entry: async (page) => {
    await link(page, "Type a number");
    await page.getByLabel("Number").fill("35");
    await send(page, "Number");
  },
  refused: async (page) => {
    await page.getByLabel("Number").fill("1,500");
    await send(page, "Number");
  },
  check: async (page) => {
    await link(page, "Choose another profile");
    await take(page, "transfer/harrow-mill-copied.toml");
    await link(page, "Profile");
  },
  dropped: async (page) => {
    await link(page, "check a file from elsewhere");
    await page.getByLabel("Or a file from elsewhere").setInputFiles(dropped);
    await follow(page, page.getByRole("button", { name: "Check this file" }));
  },
  unreadable: async (page) => {
    await page.getByLabel("Or a file from elsewhere").setInputFiles({
      name: "odd.toml", mimeType: "application/toml", buffer: Buffer.from("format = 2\n[[["),
    });
    await follow(page, page.getByRole("button", { name: "Check this file" }));
  },
  transfer: async (page) => {
    await link(page, "Overview");
    await take(page, "transfer/kestrel-bay.toml");
    await link(page, "Move to another instrument");
    await choose(page, "The method where it is going to run", "transfer/harrow-mill-copied.toml");
    await follow(page, page.getByRole("button", { name: "Compare" }));
  },
  reading: async (page) => {
    await link(page, "Today's pressure");
    await page.getByLabel("Pressure read").fill("368");
    await send(page, "Pressure read");
  },
  log: async (page) => {
    await page.getByText("Or read a log instead").press("Enter");
    await page.getByLabel("A log of past pressures").setInputFiles(log);
    await follow(page, page.getByRole("button", { name: "What does the log say?" }));
  },
  blockage: async (page) => {
    await link(page, "Find the blockage");
  },
  step: async (page) => {
    for (const pressure of ["368", "366", "14"]) {
      await page.getByLabel("Pressure read, in bar").fill(pressure);
      await send(page, "Pressure read, in bar");
    }
  },
  convert: async (page) => {
    await link(page, "Convert");
    await page.getByLabel("Pressure with its unit").fill("6000 psi");
    await page.getByLabel("Into the unit").fill("bar");
    await page.getByLabel("high: rounded down").check();
    await send(page, "Pressure with its unit");
  },
};

// Screens on which every stop of the Tab key must show.
const TEA = "profile=transfer/kestrel-bay.toml";
const STOPS = ["?method=tea-031", `profile?${TEA}`, `convert?${TEA}`, `reading?${TEA}&pressure=368`,
  `blockage?${TEA}&read.all=368`, `transfer?${TEA}`];

// What the Tab key goes through on a fresh screen, with whether it shows that it is there.
async function tabs(page, path) {
  await page.goto(`${origin}${path}`);
  const order = [];
  for (let turn = 0; turn < 60; turn += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement;
      if (element === document.body) return null;
      const style = getComputedStyle(element);
      const shown = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0;
      const box = element.getBoundingClientRect();
      const name = element.labels?.[0]?.innerText ?? element.innerText;
      return { name: name.trim(), shown: shown && box.left >= 0 && box.width > 0 };
    });
    if (at === null) break;
    order.push(at);
  }
  return order;
}

// As on A4: a picture, and the PDF.
async function print(page, view, name) {
  await page.emulateMedia({ media: "print", colorScheme: "light" });
  await page.setViewportSize({ width: 720, height: 1000 });
  await page.screenshot({ path: `${folder}/${name}-print.png`, fullPage: true });
  await page.pdf({ format: "A4", path: `${folder}/${name}.pdf` });
  await page.setViewportSize({ width: view.width, height: view.height });
  await page.emulateMedia({ media: "screen", colorScheme: view.colorScheme });
}

async function seen(page, view, name, told, documents) {
  const answer = await page.locator("main").innerText();
  told.push(...await tooWide(page));
  if (pictures) {
    await page.screenshot({ path: `${folder}/${name}-${view.name}.png`, fullPage: true });
    if (view.name === "wide") await print(page, view, name);
  }
  const judged = await accessibility(page);
  told.push(...judged.told, ...await validate(await documents.at(-1).text()));
  return { answer, title: await page.title(), url: page.url(), told: told.splice(0), passed: judged.passed };
}

const context = await opened(executablePath, folder);
const results = {};
try {
  for (const view of VIEWS) {
    const page = await context.newPage();
    const told = [];
    const documents = [];
    page.on("response", (response) =>
      response.request().resourceType() === "document" && documents.push(response));
    page.on("console", (message) => told.push(`console: ${message.text()}`));
    page.on("pageerror", (error) => told.push(`error: ${error}`));
    context.on("request", (request) => {
      if (!request.url().startsWith(origin)) told.push(`request: ${request.url()}`);
    });
    const session = await context.newCDPSession(page);
    const script = async (on) =>
      session.send("Emulation.setScriptExecutionDisabled", { value: !on });
    await page.setViewportSize({ width: view.width, height: view.height });
    await page.emulateMedia({ colorScheme: view.colorScheme });
    results[view.name] = {};
    for (const [name, act] of Object.entries(SCREENS)) {
      await script(view.name !== "phone"); // all tasks can be done without one
      await act(page);
      await script(true);
      results[view.name][name] = await seen(page, view, name, told, documents);
    }
    const [download] = await Promise.all([
      page.waitForEvent("download"),
      page.goto(`${origin}profile?profile=transfer/kestrel-bay.toml`).then(() =>
        page.getByRole("button", { name: "Download the report" }).press("Enter")),
    ]);
    results[view.name].tabs = await tabs(page, "entry");
    results[view.name].unseen = {};
    for (const path of STOPS) {
      const stops = await tabs(page, path);
      const unseen = stops.filter((stop) => !stop.shown).map((stop) => stop.name);
      results[view.name].unseen[path] = { stops: stops.length, unseen };
    }
    const text = readFileSync(await download.path(), "utf8");
    results[view.name].download = { name: download.suggestedFilename(), text };
    await page.close();
  }
} finally {
  await context.close();
}
console.log(JSON.stringify(results));
