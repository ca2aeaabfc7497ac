// Ticks that the bench has not answered yet, and those that it refused, each under a key of its own, so that two pages of one browser never write
// over each other's. A tick belongs to the record whose page it was made on: the next lot never sees it.
const head = "handlot-tick ";
const refused_head = "handlot-no ";
const spare = new Map();  // where the browser keeps nothing
let count = 0;

/// The names that the record of this page goes by: its first line's, and one from before it had any.
const names = () => (document.getElementById("main")?.dataset.record ?? "").split(" ");

/// Everything kept under `kind`, oldest first: [key, text].
function all(kind = head) {
  const out = new Map(spare);
  try {
    for (const key of Object.keys(localStorage)) out.set(key, localStorage.getItem(key));
  } catch { /* none then */ }
  return [...out].filter(([key, text]) => key.startsWith(kind) && text !== null).sort(([a], [b]) => a.localeCompare(b, "en"));
}

const owner = (key) => key.split(" ")[2];

/// A tick is kept as JSON; one kept by an earlier page is the bare form.
function tick_of(text) {
  try { return JSON.parse(text); } catch { return { body: text }; }
}

/// [key, tick] of those of this record; and of a page that knew no name for it.
export const waiting = () => all().filter(ours).map(([key, text]) => [key, tick_of(text)]);
export const strangers = () => all().filter((one) => !ours(one)).length;
const ours = ([key]) => owner(key) === "" || names().includes(owner(key));

export function keep(tick) {
  const of = new URLSearchParams(tick.body).get("record") ?? names()[0];
  const key = `${head}${String(Date.now()).padStart(14, "0")}.${String(++count).padStart(4, "0")} ${of}`;
  put(key, JSON.stringify(tick));
}

function put(key, text) {
  try { localStorage.setItem(key, text); } catch { spare.set(key, text); }
}

export function drop(key) {
  spare.delete(key);
  try { localStorage.removeItem(key); } catch { /* was in spare */ }
}

/// What the bench refused, oldest first, until somebody has read it: [key, { tick, answer }].
export const refused = () => all(refused_head).filter(ours).map(([key, text]) => [key, JSON.parse(text)]);

/// The tick goes from one list to the other; it is never in neither.
export function refuse(key, tick, answer) {
  put(refused_head + key.slice(head.length), JSON.stringify({ tick, answer }));
  drop(key);
}
