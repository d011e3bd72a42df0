// Answers while somebody types: a form with data-live="#place" is sent after each change, and the
// place is shown anew. Fields and the focus stay as they are. Without this all works by buttons.
// data-needs names the fields that must be filled in before there is anything to ask.
// An answer to other fields than those on the screen never stands as if it were theirs: while a
// question is not answered, and where a form has only a button, the answer is dimmed and that said.

import { Asking } from "./asking.js";

const said = document.getElementById("said");

function fieldsOf(form) {
  return [...new FormData(form)].map(([name, value]) => [name, value.name ?? value]);
}

function addressOf(form, wanted = () => true) {
  const fields = fieldsOf(form).filter(wanted);
  const path = form.getAttribute("action").split("#")[0];
  return `${path}?${new URLSearchParams(fields)}`;
}

// A line above an answer that says what it is worth; the answer is dimmed while it is shown.
function doubtOf(place) {
  const told = document.createElement("p");
  told.className = "checking";
  return {
    tell(words) {
      told.textContent = words;
      place.before(told);
      place.setAttribute("aria-busy", "true");
    },
    drop() {
      told.remove();
      place.removeAttribute("aria-busy");
    },
  };
}

function ready(form) {
  const data = new FormData(form);
  const needed = (form.dataset.needs ?? "").split(" ").filter(Boolean);
  return needed.every((name) => (data.get(name) ?? "").trim() !== "");
}

// What is wrong with a field stands below it, and is told where the field is read out.
function mark(form, incoming) {
  for (const field of form.querySelectorAll("input[id], select[id]")) {
    document.getElementById(`${field.id}-wrong`)?.remove();
    const other = incoming?.getElementById(field.id);
    for (const name of ["aria-invalid", "aria-describedby"]) {
      const hint = document.getElementById(`${field.id}-hint`) ? `${field.id}-hint` : null;
      const value = other ? other.getAttribute(name) : name === "aria-describedby" ? hint : null;
      if (value === null) field.removeAttribute(name);
      else field.setAttribute(name, value);
    }
    const wrong = incoming?.getElementById(`${field.id}-wrong`);
    if (wrong) field.closest(".field").append(document.importNode(wrong, true));
  }
}

// The new content of a place; where the focus is in it, it goes to the same link again.
function put(place, nodes) {
  const focus = place.contains(document.activeElement) ? document.activeElement : null;
  const same = focus?.getAttribute("href");
  place.replaceChildren(...nodes);
  if (!focus) return;
  const again = [...place.querySelectorAll("a")].find((a) => a.getAttribute("href") === same);
  (again ?? place).focus();
}

function live(form) {
  const place = document.querySelector(form.dataset.live);
  const asking = new Asking();
  const doubt = doubtOf(place);
  const task = document.documentElement.dataset.task;

  function show(screen) {
    const incoming = screen.querySelector(form.dataset.live);
    if (!incoming) {
      fail(screen.querySelector("main")?.innerText ?? "Not possible");
      return;
    }
    put(place, [...incoming.childNodes].map((node) => document.importNode(node, true)));
    mark(form, screen);
    document.title = screen.title;
    said.textContent = place.querySelector("[data-say]")?.textContent ?? "";
    doubt.drop();
  }

  function fail(message) {
    const told = document.createElement("p");
    told.className = "strong";
    told.textContent = message;
    put(place, [told]);
    said.textContent = message;
    document.title = task;
    doubt.drop();
  }

  function changed() {
    if (!ready(form)) {
      asking.stop();
      put(place, []);
      mark(form, null);
      said.textContent = "";
      document.title = task;
      history.replaceState(null, "", addressOf(form, ([, value]) => value.trim() !== ""));
      doubt.drop();
      return;
    }
    const address = addressOf(form);
    doubt.tell("Checking …");
    const then = (what) => (answer) => {
      history.replaceState(null, "", address);
      what(answer);
    };
    asking.ask(address, then(show), then(fail));
  }

  form.addEventListener("input", changed);
}

const CHANGED = "The fields have changed: the answer below is to the earlier ones. Press the button.";

// A form with a button: once its fields differ from those that were answered, it is said.
function byButton(form) {
  const answer = document.getElementById("answer");
  if (!answer || answer.contains(form)) return;
  const doubt = doubtOf(answer);
  const answered = JSON.stringify(fieldsOf(form));
  form.addEventListener("input", () => {
    if (JSON.stringify(fieldsOf(form)) === answered) {
      doubt.drop();
      said.textContent = "";
      return;
    }
    doubt.tell(CHANGED);
    said.textContent = CHANGED;
  });
}

document.querySelectorAll("form[data-live]").forEach(live);
document.querySelectorAll(".forms form:not([data-live])").forEach(byButton);
