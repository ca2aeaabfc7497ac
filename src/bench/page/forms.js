// Every touch is a form with an id of its own. It is kept on this screen until the server has it; the server applies
// each id once, so that sending twice does no harm.
import { refresh } from "./refresh.js";

const shelf = "handlot-ticks";
let sending = false;

const kept = () => { try { return JSON.parse(localStorage.getItem(shelf) ?? "[]"); } catch { return []; } };
function keep(list) {
  try { localStorage.setItem(shelf, JSON.stringify(list)); } catch { /* private window: kept in memory by the page itself */ }
  memory = list;
}
let memory = kept();

function say(text) {
  const box = document.getElementById("said");
  if (box) box.textContent = text;
}

function told(count) {
  const box = document.getElementById("link");
  if (box && count > 0) box.textContent = `${count} ${count === 1 ? "tick is" : "ticks are"} kept on this screen until the bench can write.`;
  else if (box && box.textContent.includes("kept on this screen until")) box.textContent = "";
}

/// Says why something was not written, and offers to do it all the same where that is allowed.
function refuse(body, answer) {
  const box = document.getElementById("said");
  if (!box) return;
  box.replaceChildren();
  const head = document.createElement("h2");
  head.textContent = "Not written";
  const list = document.createElement("ul");
  for (const why of answer.why ?? []) {
    const item = document.createElement("li");
    item.textContent = `${why.text}. ${why.mend}.`;
    list.append(item);
  }
  box.append(head, list);
  if (answer.insist) box.append(reason_form(body));
  const away = document.createElement("button");
  away.type = "button";
  away.textContent = "Leave it";
  away.onclick = () => box.replaceChildren();
  box.append(away);
  box.scrollIntoView({ block: "nearest" });
  (box.querySelector("input[name=text]") ?? away).focus();
}

function reason_form(body) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = "/do";
  form.className = "line";
  for (const [name, value] of new URLSearchParams(body)) {
    if (name === "text") continue;
    const field = document.createElement("input");
    field.type = "hidden";
    field.name = name;
    field.value = name === "id" ? `f${crypto.getRandomValues(new Uint32Array(3)).join("").slice(0, 23)}` : value;
    form.append(field);
  }
  const label = document.createElement("label");
  label.textContent = "Why all the same? ";
  const text = document.createElement("input");
  text.name = "text";
  text.required = true;
  text.maxLength = 300;
  label.append(text);
  const go = document.createElement("button");
  go.textContent = "Do it, and keep the reason";
  form.append(label, go);
  return form;
}

/// Sends what is kept, oldest first. Stops at the first that cannot be written now.
export async function flush() {
  if (sending) return;
  sending = true;
  try {
    while (memory.length > 0) {
      const body = memory[0];
      let answer;
      try {
        answer = await fetch("/do", {
          method: "POST", body, signal: AbortSignal.timeout(15000), headers: { "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });
      } catch { break; }
      if (answer.status === 507 || answer.status === 503 || answer.status === 502) {
        const why = await answer.json().catch(() => ({}));
        say(`${why.why?.[0]?.text ?? "The bench cannot write now"}. It is kept here and sent again.`);
        break;
      }
      if (answer.status === 401) { location.assign("/pair"); break; }
      keep(memory.slice(1));
      if (answer.ok) say("");
      else refuse(body, await answer.json().catch(() => ({ why: [{ text: "the bench refused", mend: "reload the page" }] })));
    }
  } finally {
    sending = false;
    told(memory.length);
  }
  refresh();
}

async function send_photo(form) {
  const answer = await fetch("/photo", { method: "POST", body: new FormData(form), headers: { Accept: "application/json" } }).catch(() => null);
  if (answer?.ok) { form.reset(); say(""); refresh(); }
  else if (answer) refuse("", await answer.json().catch(() => ({ why: [{ text: "the photo was not taken", mend: "try again" }] })));
  else say("No connection: the photo was not sent. Try again.");
}

export function takeForms() {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    const where = new URL(form.action).pathname;
    if (where !== "/do" && where !== "/photo") return;
    event.preventDefault();
    if (where === "/photo") { send_photo(form); return; }
    const body = new URLSearchParams(new FormData(form)).toString();
    const id = form.elements.namedItem("id").value;
    if (memory.some((b) => new URLSearchParams(b).get("id") === id)) return;
    form.querySelector("button")?.setAttribute("aria-busy", "true");
    keep([...memory, body]);
    told(memory.length > 1 || !navigator.onLine ? memory.length : 0);
    form.reset();
    flush();
  });
  setInterval(() => { if (memory.length > 0) flush(); }, 3000);
  addEventListener("online", () => flush());
}
