// Every touch is a form with an id of its own. It is kept on this screen until the server has it; the server applies
// each id once, so that sending twice does no harm.
import { refresh } from "./refresh.js";
import { drop, keep, strangers, waiting } from "./shelf.js";

const kBounce = 700;  // ms in which a second touch is taken for the first one, bouncing
const kPhotoEdge = 1600;
let sending = false;

function say(text) {
  const box = document.getElementById("said");
  if (box) box.textContent = text;
}

const kept_words = "kept on this screen until";
function told() {
  const box = document.getElementById("link");
  const count = waiting().length;
  if (box && count > 0) box.textContent = `${count} ${count === 1 ? "tick is" : "ticks are"} ${kept_words} the bench can write.`;
  else if (box && strangers() > 0) box.textContent = `${strangers()} made on another lot's page: ${kept_words} that lot is on the bench again.`;
  else if (box?.textContent.includes(kept_words)) box.textContent = "";
}

const fresh_id = () => `f${[...crypto.getRandomValues(new Uint32Array(4))].map((n) => n.toString(16).padStart(8, "0")).join("")}`;
const id_of = (body) => new URLSearchParams(body).get("id");

/// A form that stays on the page is written under a new id the next time.
function renew(id) {
  for (const field of document.querySelectorAll('input[name="id"]'))
    if (field.value === id) field.value = fresh_id();
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
    field.value = name === "id" ? fresh_id() : value;
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

const post = (body) => fetch("/do", { method: "POST", body, signal: AbortSignal.timeout(15000),
  headers: { "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });

/// Sends one tick. False: not now; it stays on the shelf.
async function send(key, body) {
  const answer = await post(body).catch(() => null);
  if (!answer) return false;
  if (answer.status === 507 || answer.status === 503 || answer.status === 502) {
    const why = await answer.json().catch(() => ({}));
    say(`${why.why?.[0]?.text ?? "The bench cannot write now"}. It is kept here and sent again.`);
    return false;
  }
  if (answer.status === 401) {
    location.assign("/pair");
    return false;
  }
  drop(key);
  setTimeout(() => renew(id_of(body)), kBounce);
  if (answer.ok) say("");
  else refuse(body, await answer.json().catch(() => ({ why: [{ text: "the bench refused", mend: "reload the page" }] })));
  return true;
}

/// Sends what is kept, oldest first. Stops at the first that cannot be written now.
export async function flush() {
  if (sending) return;
  sending = true;
  try {
    for (let next = waiting()[0]; next; next = waiting()[0])
      if (!(await send(...next))) break;
  } finally {
    sending = false;
    told();
  }
  refresh();
}

/// A telephone's photo is larger than a record needs, and lies on its side: drawn upright, 1600 px at most.
async function smaller(file) {
  const whole = await createImageBitmap(file, { imageOrientation: "from-image" }).catch(() => null);
  if (!whole || Math.max(whole.width, whole.height) <= kPhotoEdge) return file;
  const share = kPhotoEdge / Math.max(whole.width, whole.height);
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(whole.width * share);
  canvas.height = Math.round(whole.height * share);
  canvas.getContext("2d").drawImage(whole, 0, 0, canvas.width, canvas.height);
  return (await new Promise((ok) => canvas.toBlob(ok, "image/jpeg", 0.88))) ?? file;
}

async function send_photo(form) {
  const body = new FormData(form);
  if (body.get("photo") instanceof File) body.set("photo", await smaller(body.get("photo")), "photo");
  const answer = await fetch("/photo", { method: "POST", body, headers: { Accept: "application/json" } }).catch(() => null);
  if (answer?.ok) {
    renew(form.elements.namedItem("id").value);
    form.reset();
    say("");
    refresh();
  } else if (answer) refuse("", await answer.json().catch(() => ({ why: [{ text: "the photo was not taken", mend: "try again" }] })));
  else say("No connection: the photo was not sent. Try again.");
}

function take(form) {
  const id = form.elements.namedItem("id");
  const body = () => new URLSearchParams(new FormData(form)).toString();
  const shelf = waiting();
  if (shelf.some(([, kept]) => kept === body())) return;  // the same touch twice
  if (shelf.some(([, kept]) => id_of(kept) === id.value)) id.value = fresh_id();
  form.querySelector("button")?.setAttribute("aria-busy", "true");
  keep(body());
  if (shelf.length > 0 || !navigator.onLine) told();
  form.reset();
  flush();
}

export function takeForms() {
  document.addEventListener("submit", (event) => {
    const where = new URL(event.target.action).pathname;
    if (where !== "/do" && where !== "/photo") return;
    event.preventDefault();
    if (where === "/photo") send_photo(event.target);
    else take(event.target);
  });
  setInterval(() => { if (waiting().length > 0) flush(); }, 3000);
  addEventListener("online", () => flush());
  if (waiting().length > 0) flush();
  told();
}
