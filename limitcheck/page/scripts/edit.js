// Findings while somebody types: the form is checked after a short pause, and what is found is
// shown anew. Fields write into the text, the text into the fields; the focus stays where it is.
// Without this all works by the buttons.

const PAUSE = 200; // ms without a key
const form = document.getElementById("edit");
const said = document.getElementById("said");
const text = document.getElementById("text");
let asked = 0;
let timer = 0;
let unsaved = false;

const copies = (node) => [...node.childNodes].map((child) => document.importNode(child, true));
// What the form is drawn of: its fields, and what holds in those that are empty.
const names = (where) => [...where.querySelectorAll("#fields [name], #fields .held")]
  .map((field) => field.name ?? field.textContent);

// What is found, by the same places; what was folded open or shut stays so.
function showFound(screen) {
  for (const place of document.querySelectorAll("[data-found]")) {
    const incoming = screen.getElementById(place.id);
    if (!incoming || incoming.innerHTML === place.innerHTML) continue;
    const folded = place.querySelector("details");
    const open = folded?.open;
    place.replaceChildren(...copies(incoming));
    if (folded && place.querySelector("details")) place.querySelector("details").open = open;
  }
  for (const field of document.querySelectorAll("#fields [name]")) {
    const wrong = screen.getElementById(field.id)?.getAttribute("aria-invalid");
    if (wrong) field.setAttribute("aria-invalid", wrong);
    else field.removeAttribute("aria-invalid");
  }
}

function drawFields(screen) {
  const fields = document.getElementById("fields");
  const next = screen.querySelector("#fields [autofocus]");
  next?.removeAttribute("autofocus"); // of a page that comes whole
  const focus = next?.id || (fields.contains(document.activeElement) ? document.activeElement.id : "");
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
}

function show(screen, inText, arranged) {
  if (inText || arranged || String(names(document)) !== String(names(screen))) drawFields(screen);
  if (!inText) text.value = screen.getElementById("text").value;
  for (const id of ["base", "shown"]) {
    document.getElementById(id).value = screen.getElementById(id).value;
  }
  showFound(screen);
  const done = screen.querySelector("#done > p, #verdict > .strong");
  said.textContent = [arranged ? done?.textContent : "",
    screen.getElementById("found-heading").textContent].join(" ").trim();
}

async function check(number, inText, act = "check") {
  const sent = new FormData(form);
  sent.append("act", act);
  let told;
  try {
    const answer = await fetch("/edit", { method: "POST", body: sent, redirect: "error" });
    const screen = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (number !== asked) return; // typed on: a later answer counts
    if (answer.ok && screen.getElementById("edit")) {
      show(screen, inText, act !== "check");
      return;
    }
    told = screen.querySelector("main")?.textContent ?? `${answer.status}`;
  } catch {
    told = "No answer: is limitcheck page still running? Your text is still here.";
  }
  if (number === asked) said.textContent = told;
  document.getElementById("found-heading").textContent = told.trim();
}

form?.addEventListener("input", (event) => {
  unsaved = true;
  asked += 1;
  const number = asked;
  clearTimeout(timer);
  timer = setTimeout(() => check(number, event.target === text), PAUSE);
});
form?.addEventListener("submit", (event) => {
  asked += 1;
  clearTimeout(timer);
  unsaved = "arranges" in (event.submitter?.dataset ?? {});
  if (!unsaved) return;
  event.preventDefault();
  check(asked, false, event.submitter.value);
});
addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});
