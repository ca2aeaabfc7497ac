// Takes the page anew from the server and exchanges only the parts that differ, so that what is being typed stays.
import { countDown } from "./waits.js";

let running = false;
let again = false;
let soonest = 0;

const form_ids = / name="id" value="[^"]*"/g;
const same = (a, b) => a.outerHTML.replace(form_ids, "") === b.outerHTML.replace(form_ids, "");

function typing(part) {
  const at = document.activeElement;
  if (!at || !part.contains(at) || !at.matches("input, select")) return false;
  return at.type === "file" || at.value !== at.defaultValue;
}

/// What had the focus, so that it can be found in the new part.
function focus_name(part) {
  const at = document.activeElement;
  if (!at || !part.contains(at) || at === part) return null;
  const all = [...part.querySelectorAll("a, button, input, select, summary")];
  return { text: at.textContent, name: at.name, place: all.indexOf(at) };
}

function restore(part, name) {
  if (!name) return;
  const all = [...part.querySelectorAll("a, button, input, select, summary")];
  const found = all.find((e) => e.textContent === name.text && e.name === name.name) ?? all[Math.min(name.place, all.length - 1)];
  found?.focus({ preventScroll: true });
}

function exchange(old, fresh) {
  if (same(old, fresh) || typing(old)) return;
  const open = new Set([...old.querySelectorAll("details[open][id]")].map((d) => d.id));
  for (const d of fresh.querySelectorAll("details[id]")) d.open = open.has(d.id);
  const name = focus_name(old);
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
      const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("main");
      if (fresh) merge(document.importNode(fresh, true));
      countDown();
    }
  } catch { /* no connection: the next message or beat brings us here again */ }
  running = false;
  if (again) { again = false; refresh(); }
}
