// Every touch is a form with an id of its own. It is kept on this screen until the server has it; the server applies
// each id once, so that sending twice does no harm.
import { refresh } from "./refresh.js";
import { fresh_id, say, settled, show } from "./refusals.js";
import { record_now } from "./waits.js";
import { drop, keep, refuse, strangers, waiting } from "./shelf.js";

const kBounce = 700;  // ms in which a second touch is taken for the first one, bouncing
const kPhotoEdge = 1600;
const page = fresh_id();  // a reload is another one
let sending = false;

const kept_words = "kept on this screen until";
function told() {
  const box = document.getElementById("link");
  const count = waiting().length;
  if (box && count > 0) box.textContent = `${count} ${count === 1 ? "tick is" : "ticks are"} ${kept_words} the bench can write.`;
  else if (box && strangers() > 0) box.textContent = `${strangers()} made on another lot's page: ${kept_words} that lot is on the bench again.`;
  else if (box?.textContent.includes(kept_words)) box.textContent = "";
}

function tell() {
  told();
  show();
}

const id_of = (body) => new URLSearchParams(body).get("id");

/// A form that stays on the page is written under a new id the next time.
function renew(id) {
  for (const field of document.querySelectorAll('input[name="id"]'))
    if (field.value === id) field.value = fresh_id();
}

/// Seconds since the touch: by this page's own clock, and after a reload by the record's. Empty where neither can tell.
async function age(tick) {
  if (tick.page === page) return (performance.now() - tick.mine) / 1000;
  if (typeof tick.ran !== "number") return "";
  const now = record_now() ?? (await (await fetch("/state.json")).json()).ran_ms;
  return (now - tick.ran) / 1000;
}

/// The form as it is sent: with its age, so that a wait counts from the touch and not from when it came in.
async function with_age(tick) {
  const form = new URLSearchParams(tick.body);
  const seconds = await age(tick).catch(() => "");
  if (seconds > 0) form.set("age", seconds.toFixed(1));
  return form.toString();
}

const post = (body) => fetch("/do", { method: "POST", body, signal: AbortSignal.timeout(15000),
  headers: { "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });

/// Somebody stands here and has just touched it.
const seen_now = (tick) => tick.page === page && Date.now() - tick.at < 10000;

/// The bench's own word, and nothing else: another program that answers on this port says nothing of a tick.
async function word_of(answer) {
  const said = await answer.json().catch(() => null);
  if (answer.ok && said?.ok === true) return { done: true };
  const no = said?.ok === false && !said.later && said.why?.length > 0;
  if (no && said.why[0].code === "bench-other-record") return { other: true };
  if (no) return { refused: said };
  return { later: said?.why?.[0]?.text ?? `What answers here (${answer.status}) is not this bench, or it cannot write now` };
}

/// Sends one tick. False: not now; it stays on the shelf until the bench has it, or has said why not.
async function send(key, tick) {
  const answer = await post(await with_age(tick)).catch(() => null);
  if (!answer) return false;
  if (answer.status === 401) {
    location.assign("/pair");
    return false;
  }
  const { done, refused, later, other } = await word_of(answer);
  if (other) return false;  // the page taken anew says so
  if (later) {
    say(`${later}. It is kept here and sent again.`);
    return false;
  }
  if (done) drop(key);
  else refuse(key, { ...tick, kept: !seen_now(tick) }, refused);
  setTimeout(() => renew(id_of(tick.body)), kBounce);
  say("");
  if (done) settled(tick);
  else show(seen_now(tick));
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
  await refresh();
  tell();
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
  } else if (answer) say(`The photo was not taken: ${(await answer.json().catch(() => null))?.why?.[0]?.text ?? "try again"}.`);
  else say("No connection: the photo was not sent. Try again.");
}

/// What was touched, in the words of the page.
function words_of(form) {
  const heading = (form.closest("li")?.querySelector("h3") ?? form.closest("section")?.querySelector("h2, h3"))?.textContent ?? "";
  const typed = [...form.elements].filter((field) => ["value", "text"].includes(field.name) && field.type !== "hidden").map((field) => field.value);
  return [heading.trim(), form.querySelector("button")?.textContent.trim() ?? "", ...typed].filter((word) => word).join(", ");
}

function take(form) {
  const id = form.elements.namedItem("id");
  const body = () => new URLSearchParams(new FormData(form)).toString();
  const shelf = waiting();
  if (shelf.some(([, kept]) => kept.body === body())) return;  // the same touch twice
  if (shelf.some(([, kept]) => id_of(kept.body) === id.value)) id.value = fresh_id();
  form.querySelector("button")?.setAttribute("aria-busy", "true");
  const touched = form.dataset.touched ? JSON.parse(form.dataset.touched) : { page, mine: performance.now(), ran: record_now() };
  keep({ body: body(), words: words_of(form), at: Date.now(), ...touched });
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
  setInterval(() => { if (waiting().length > 0) flush(); else tell(); }, 3000);
  addEventListener("online", () => flush());
  addEventListener("storage", tell);  // another page of this browser kept or sent one
  if (waiting().length > 0) flush();
  tell();
}
