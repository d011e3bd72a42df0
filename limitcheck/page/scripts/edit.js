// Findings while somebody types: the form is checked after a short pause, and what is found is
// shown anew. Fields write into the text, the text into the fields; the focus stays where it is.
// Without this all works by the buttons.

const PAUSE = 200; // ms without a key
const TOO_SOON = "What you pressed last came too soon and is not done: do it again.";
const form = document.getElementById("edit");
const said = document.getElementById("said");
const text = document.getElementById("text");
let asked = 0;
let timer = 0;
let acting = false; // an arranging button was pressed, and its answer has not come
let tooSoon = false; // something was pressed or chosen meanwhile, which was not done
const byHand = new Map(); // what a person folded open or shut, by id
let unsaved = document.querySelector("form[data-unsaved]") !== null;

const copies = (node) => [...node.childNodes].map((child) => document.importNode(child, true));
// What the form is drawn of: its fields, and what holds in those that are empty.
const names = (where) => [...where.querySelectorAll("#fields [name], #fields .held")]
  .map((field) => field.name ?? field.textContent);

// What is found, by the same places. What a person folded stays so; else errors open their list,
// and nothing is shut under who reads it, nor what is told of a field. The field in use stays where it is on the screen.
function showFound(screen) {
  const here = document.activeElement;
  const top = here.getBoundingClientRect().top;
  for (const place of document.querySelectorAll("[data-found]")) {
    const incoming = screen.getElementById(place.id);
    if (!incoming || incoming.innerHTML === place.innerHTML) continue;
    const open = new Map([...place.querySelectorAll("details")].map((d) => [d.id, d.open]));
    place.replaceChildren(...copies(incoming));
    if (place.childElementCount) place.closest("#fields details")?.setAttribute("open", "");
    for (const folded of place.querySelectorAll("details")) {
      folded.open = byHand.get(folded.id) ?? (open.get(folded.id) || folded.open);
    }
  }
  document.getElementById("now").textContent = screen.getElementById("now").textContent;
  if (form.contains(here)) scrollBy(0, here.getBoundingClientRect().top - top);
  for (const field of document.querySelectorAll("#fields [name]")) {
    const incoming = screen.getElementById(field.id);
    if (!incoming) continue;
    for (const mark of ["aria-invalid", "aria-required"]) {
      if (incoming.hasAttribute(mark)) field.setAttribute(mark, incoming.getAttribute(mark));
      else field.removeAttribute(mark);
    }
    const [label, told] = [field, incoming].map((one) => one.labels[0]); // a button has none
    if (label && label.textContent !== told.textContent) label.replaceChildren(...copies(told));
    for (const beside of ["unit", "hint"]) {
      const [old, now] = [document, screen].map((in_) => in_.getElementById(`${field.id}-${beside}`));
      if (old && now && old.textContent !== now.textContent) old.textContent = now.textContent;
    }
  }
}

// What stands there was found in something else than what is typed now; the heading says why.
function nothingIsFound(heading) {
  for (const place of document.querySelectorAll("[data-found]")) {
    place.setAttribute("aria-busy", "true");
  }
  for (const id of ["found-heading", "now"]) document.getElementById(id).textContent = heading;
}

function drawFields(screen) {
  const fields = document.getElementById("fields");
  const next = screen.querySelector("#fields [autofocus]");
  next?.removeAttribute("autofocus"); // of a page that comes whole
  const here = fields.contains(document.activeElement) ? document.activeElement : null;
  const at = here?.selectionStart;
  const focus = next?.id || (here?.id ?? "");
  const open = new Set([...fields.querySelectorAll("details[open]")].map((d) => d.parentElement.id));
  fields.replaceChildren(...copies(screen.getElementById("fields")));
  for (const group of fields.querySelectorAll("fieldset")) {
    const further = group.querySelector("details");
    if (further && open.has(group.id)) further.open = true;
  }
  if (!focus) return;
  const again = document.getElementById(focus);
  again?.closest("details")?.setAttribute("open", "");
  again?.focus();
  if (focus === here?.id && again?.tagName === "INPUT") again.setSelectionRange(at, at);
}

// The text with what fields wrote into it; who types in it goes on at the same place.
function drawText(value) {
  if (text.value === value) return;
  const { selectionStart, selectionEnd, scrollTop } = text;
  text.value = value;
  text.setSelectionRange(selectionStart, selectionEnd);
  text.scrollTop = scrollTop;
}

// Fields are compared with the text they were drawn from: of another one they are drawn again, and
// where parts or points moved, which leaves that text and their names as they were.
function show(screen, arranged) {
  const base = document.getElementById("base");
  const other = base.value !== screen.getElementById("base").value;
  if (arranged || other || String(names(document)) !== String(names(screen))) drawFields(screen);
  drawText(screen.getElementById("text").value);
  for (const id of ["base", "before"]) {
    document.getElementById(id).value = screen.getElementById(id).value;
  }
  for (const place of document.querySelectorAll("[data-found]")) place.removeAttribute("aria-busy");
  showFound(screen);
  const done = screen.querySelector("#done > p, #verdict > .strong");
  said.textContent = [arranged ? done?.textContent : "",
    screen.getElementById("found-heading").textContent].join(" ").trim();
}

async function check(number, act = "check", sent = new FormData(form)) {
  sent.append("act", act);
  let told;
  try {
    const answer = await fetch("/edit", { method: "POST", body: sent, redirect: "error" });
    const screen = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (number !== asked) return; // typed on: a later answer counts
    if (answer.ok && screen.getElementById("edit")) {
      show(screen, act !== "check");
      if (tooSoon) said.textContent = `${said.textContent} ${TOO_SOON}`;
      if (tooSoon) document.getElementById("found-heading").append(` ${TOO_SOON}`);
      tooSoon = false;
      return;
    }
    const why = screen.getElementById("why") ?? screen.querySelector("main, body");
    told = why?.innerText.trim() || `${answer.status}`;
  } catch {
    if (number !== asked) return;
    told = "No answer: is limitcheck page still running?";
  }
  told = `Not checked: ${told.replace(/\s+/g, " ")} Your text is still here.`;
  nothingIsFound(told);
  said.textContent = told;
}

// The answer to a button draws other fields: what is typed before it comes would be lost in them.
form?.addEventListener("beforeinput", (event) => {
  if (acting) event.preventDefault();
});
form?.addEventListener("input", () => {
  if (acting) {
    tooSoon = true;
    return;
  }
  unsaved = true;
  asked += 1;
  const number = asked;
  clearTimeout(timer);
  nothingIsFound("Checking what you typed ...");
  timer = setTimeout(() => check(number), PAUSE);
});
form?.addEventListener("submit", async (event) => {
  const arranges = "arranges" in (event.submitter?.dataset ?? {});
  if (acting) { // whatever it is, it was pressed for the form as it was before
    event.preventDefault();
    tooSoon = true;
    return;
  }
  if (!arranges) return;
  unsaved = true;
  asked += 1;
  clearTimeout(timer);
  event.preventDefault();
  nothingIsFound("Checking ...");
  acting = true;
  tooSoon = false;
  await check(asked, event.submitter.value);
  acting = false;
});
form?.addEventListener("click", (event) => {
  const folded = event.target.closest("summary")?.parentElement;
  if (folded?.id) byHand.set(folded.id, !folded.open);
});
// After going back a browser gives the text box what was typed, and not the fields, nor what was
// found in it: the text is checked as it stands, without the fields, which are those of the file.
addEventListener("pageshow", () => {
  if (!text || text.value === text.defaultValue) return;
  unsaved = true;
  asked += 1;
  const sent = new FormData(form);
  for (const name of [...sent.keys()]) if (name.startsWith("f.")) sent.delete(name);
  sent.set("base", sent.get("before"));
  nothingIsFound("Checking your text ...");
  check(asked, "check", sent);
});
// Every other form of these screens takes the text along.
addEventListener("submit", (event) => {
  if (event.defaultPrevented) return;
  asked += 1;
  clearTimeout(timer);
  unsaved = false;
});
addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});
