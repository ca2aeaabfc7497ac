// Ticks that the bench has not answered yet, each under a key of its own, so that two pages of one browser never write
// over each other's. A tick belongs to the record whose page it was made on: the next lot never sees it.
const head = "handlot-tick ";
const spare = new Map();  // where the browser keeps nothing
let count = 0;

/// The names that the record of this page goes by: its first line's, and one from before it had any.
const names = () => (document.getElementById("main")?.dataset.record ?? "").split(" ");

/// Every kept tick, oldest first: [key, body].
function all() {
  const out = new Map(spare);
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(head)) out.set(key, localStorage.getItem(key));
  } catch { /* none then */ }
  return [...out].filter(([, body]) => body !== null).sort(([a], [b]) => a.slice(head.length).localeCompare(b.slice(head.length), "en"));
}

export const owner = (key) => key.split(" ")[2];

/// Those of this record; and those of a page that knew no name for it.
export const waiting = () => all().filter(([key]) => owner(key) === "" || names().includes(owner(key)));
export const strangers = () => all().length - waiting().length;

export function keep(body) {
  const of = new URLSearchParams(body).get("record") ?? names()[0];
  const key = `${head}${String(Date.now()).padStart(14, "0")}.${String(++count).padStart(4, "0")} ${of}`;
  try { localStorage.setItem(key, body); } catch { spare.set(key, body); }
}

export function drop(key) {
  spare.delete(key);
  try { localStorage.removeItem(key); } catch { /* was in spare */ }
}
