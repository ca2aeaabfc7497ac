// What the bench refused stands on the page until somebody has read it: a tick that was kept here may be refused long after
// the touch, when nobody looks.
import { drop, refused } from "./shelf.js";

export const fresh_id = () => `f${[...crypto.getRandomValues(new Uint32Array(4))].map((n) => n.toString(16).padStart(8, "0")).join("")}`;

function element(name, text = "") {
  const node = document.createElement(name);
  node.textContent = text;
  return node;
}

/// One line above the refusals, for what holds now.
export function say(text) {
  const box = document.getElementById("said");
  if (!box) return;
  let line = box.querySelector("p.now");
  if (!line && text) box.prepend(line = Object.assign(element("p"), { className: "now" }));
  if (line && line.textContent !== text) line.textContent = text;
  if (line && !text) line.remove();
}

/// What a touch is about: the same one, done later, answers the refusal.
function subject(body) {
  const form = new URLSearchParams(body);
  if (form.get("act") === "rework") form.delete("item");  // with or without a word of how it is reached
  return ["act", "step", "item", "target"].map((name) => form.get(name) ?? "").concat(form.get("units") ?? form.get("unit") ?? "").join(" ");
}

/// It was done after all: what was refused of it before needs no reading any more.
export function settled(tick) {
  for (const [key, no] of refused()) if (subject(no.tick.body) === subject(tick.body)) drop(key);
  show();
}

/// The form once more, with room for a reason. What was kept was done when it was touched; what was refused at once is done now.
function reason_form({ body, kept, page, mine, ran }) {
  const form = Object.assign(element("form"), { method: "post", action: "/do", className: "line" });
  const fields = new URLSearchParams(body), rework = fields.get("act") === "rework";
  if (rework) fields.set("item", "reached");
  for (const [name, value] of fields)
    if (name !== "text") form.append(Object.assign(element("input"), { type: "hidden", name, value: name === "id" ? fresh_id() : value }));
  if (kept) form.dataset.touched = JSON.stringify({ page, mine, ran });
  const label = element("label", rework ? "Fault, and how it is reached " : "Why all the same? ");
  label.append(Object.assign(element("input"), { name: "text", required: true, maxLength: 600, value: rework ? fields.get("text") ?? "" : "" }));
  form.append(label, element("button", "Do it, and keep the reason"));
  return form;
}

function item_of(key, { tick, answer }) {
  const at = tick.at ? `, touched ${new Date(tick.at).toLocaleString([], { weekday: "short", hour: "2-digit", minute: "2-digit" })}` : "";
  const item = element("li");
  item.dataset.refused = key;
  item.append(element("h3", (tick.words || new URLSearchParams(tick.body).get("act")) + at));
  const list = element("ul");
  for (const why of answer.why) list.append(element("li", `${why.text}. ${why.mend}.`));
  item.append(list);
  if (answer.insist) item.append(reason_form(tick));
  const away = Object.assign(element("button", "Leave it"), { type: "button" });
  away.onclick = () => { drop(key); show(); };
  item.append(away);
  return item;
}

/// Brings the list up to date. Items that stay are left alone: somebody may be writing a reason into one.
export function show(touched = false) {
  const box = document.getElementById("said");
  if (!box) return;
  const all = new Map(refused());
  let list = box.querySelector("ul.refused");
  if (all.size === 0) {
    list?.parentElement.remove();
    return;
  }
  if (!list) {
    const part = element("div");
    list = Object.assign(element("ul"), { className: "plain refused" });
    part.append(element("h2", "Not written"), list);
    box.append(part);
  }
  for (const old of [...list.children]) if (!all.delete(old.dataset.refused)) old.remove();
  for (const [key, no] of all) list.append(item_of(key, no));
  if (!touched) return;
  box.scrollIntoView({ block: "nearest" });
  (list.lastElementChild.querySelector("input[name=text]") ?? list.lastElementChild.querySelector("button")).focus();
}
