// Takes the page anew from the server and exchanges only the parts that differ, so that what is being typed stays.
import { countDown } from "./waits.js";

let running = false;
let again = false;
let soonest = 0;

// A button exchanged between press and release is not clicked: nothing is exchanged under a finger.
const kLongestPress = 1500;  // ms; a release that the page never heard of does not stop it for good
let pressed = 0;
addEventListener("pointerdown", () => { pressed = Date.now(); }, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => setTimeout(() => { pressed = 0; }, 0), true);

async function released() {
  while (Date.now() - pressed < kLongestPress) await new Promise((ok) => setTimeout(ok, 20));
}

const form_ids = / name="id" value="[^"]*"/g;
const same = (a, b) => a.outerHTML.replace(form_ids, "") === b.outerHTML.replace(form_ids, "");

function typing(part) {
  const at = document.activeElement;
  if (!at || !part.contains(at) || !at.matches("input, select")) return false;
  return at.type === "file" || at.value !== at.defaultValue;
}

/// What a form is about: its fixed fields, but for the id of the touch.
const subject = (form) => [...form.querySelectorAll("input[type=hidden]")].filter((f) => f.name !== "id").map((f) => `${f.name}=${f.value}`).join("&");

function chosen(field) {
  if (field.matches("select")) return field.selectedIndex !== Math.max(0, [...field.options].findIndex((o) => o.defaultSelected));
  return field.type === "file" ? field.files.length > 0 : field.value !== field.defaultValue;
}

/// What was typed or chosen and not yet sent goes into the same form of the new part: a unit chosen stays the unit chosen.
/// A form whose choice is no longer offered comes back empty, so that its words are not said of another unit.
function carry(old, fresh) {
  const named = "input[name]:not([type=hidden]), select[name], textarea[name]";
  const offers = (place, field) => !field.matches("select") || [...place.options].some((o) => o.value === field.value);
  const forms = [...fresh.querySelectorAll("form")];
  for (const from of old.querySelectorAll("form")) {
    const to = forms.find((f) => f.getAttribute("action") === from.getAttribute("action") && subject(f) === subject(from));
    const pairs = [...from.querySelectorAll(named)].filter(chosen).map((field) => [field, to?.elements.namedItem(field.name)]);
    if (!pairs.every(([field, place]) => place && offers(place, field))) continue;
    for (const [field, place] of pairs)
      if (field.type === "file") place.replaceWith(field);
      else place.value = field.value;
  }
}

const focusable = "a, button, input, select, summary";

const is_field = (e) => e.matches("input, select");

/// A field by its form and name, anything else by its words too.
const name_of = (e) => [e.form ? subject(e.form) : "", e.name, is_field(e) ? "" : e.textContent].join("|");

/// What had the focus, so that it can be found in the new part.
function focus_name(part) {
  const at = document.activeElement;
  if (!at || !part.contains(at) || at === part) return null;
  return { name: name_of(at), field: is_field(at), place: [...part.querySelectorAll(focusable)].indexOf(at) };
}

/// Many forms have a field for words. The focus goes back to the same form's or to none: what is typed is never said of another matter.
function restore(part, was) {
  if (!was) return;
  const all = [...part.querySelectorAll(focusable)];
  const found = all.find((e) => name_of(e) === was.name) ?? (was.field ? null : all[Math.min(was.place, all.length - 1)]);
  found?.focus({ preventScroll: true });
}

function exchange(old, fresh) {
  if (same(old, fresh) || typing(old)) return;
  const open = new Set([...old.querySelectorAll("details[open][id]")].map((d) => d.id));
  for (const d of fresh.querySelectorAll("details[id]")) d.open = open.has(d.id);
  const name = focus_name(old);
  carry(old, fresh);
  old.replaceWith(fresh);
  restore(fresh, name);
}

function merge(fresh) {
  const main = document.getElementById("main");
  for (const name of ["ran", "seq", "write", "record"]) main.dataset[name] = fresh.dataset[name];
  delete main.dataset.kept;
  const parts = [...fresh.children];
  const wanted = new Set(parts.map((p) => p.id || p.tagName));
  for (const old of [...main.children])
    if (!wanted.has(old.id || old.tagName) && !typing(old)) old.remove();
  let before = null;
  for (const part of parts) {
    const key = part.id || part.tagName;
    const old = [...main.children].find((c) => (c.id || c.tagName) === key);
    if (key === "said") { before = old; continue; }
    if (!old) before ? before.after(part) : main.prepend(part);
    else exchange(old, part);
    before = [...main.children].find((c) => (c.id || c.tagName) === key) ?? before;
  }
}

export async function refresh() {
  if (running) { again = true; return; }
  running = true;
  const wait = soonest - Date.now();
  if (wait > 0) await new Promise((ok) => setTimeout(ok, wait));
  soonest = Date.now() + 250;
  try {
    const answer = await fetch(location.pathname + location.search, { headers: { Accept: "text/html" }, signal: AbortSignal.timeout(10000) });
    if (answer.status === 401 || answer.redirected) location.assign("/pair");
    else if (answer.ok) {
      const text = await answer.text();
      await released();
      const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("main");
      if (fresh) merge(document.importNode(fresh, true));
      countDown();
    }
  } catch { /* no connection: the next message or beat brings us here again */ }
  running = false;
  if (again) { again = false; refresh(); }
}
