// Answers while somebody types: a form with data-live="#place" is sent after each change, and the
// place is shown anew. Fields and the focus stay as they are. Without this all works by buttons.
// data-needs names the fields that must be filled in before there is anything to ask.

import { Asking } from "./asking.js";

const said = document.getElementById("said");

function addressOf(form) {
  const fields = [...new FormData(form)].filter(([, value]) => typeof value === "string");
  const path = form.getAttribute("action").split("#")[0];
  return `${path}?${new URLSearchParams(fields)}`;
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
    place.removeAttribute("aria-busy");
  }

  function fail(message) {
    const told = document.createElement("p");
    told.className = "strong";
    told.textContent = message;
    put(place, [told]);
    said.textContent = message;
    place.removeAttribute("aria-busy");
  }

  function changed() {
    if (!ready(form)) {
      asking.stop();
      put(place, []);
      mark(form, null);
      said.textContent = "";
      place.removeAttribute("aria-busy");
      return;
    }
    const address = addressOf(form);
    place.setAttribute("aria-busy", "true");
    asking.ask(address, (screen) => {
      history.replaceState(null, "", address);
      show(screen);
    }, fail);
  }

  form.addEventListener("input", changed);
}

document.querySelectorAll("form[data-live]").forEach(live);
