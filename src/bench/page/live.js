// One open line to the server. It says what was written, and what time it is.
import { setTime } from "./waits.js";

const words_of_loss = "No connection to the bench. Ticks are kept on this screen and sent later.";
let source = null;
let heard = Date.now();
let lost = false;
let hidden = null;

/// A page out of the keeper says of when it is.
function lost_words() {
  const kept = Number(document.getElementById("main")?.dataset.kept ?? 0);
  if (!kept) return words_of_loss;
  const at = new Date(kept).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  return `${words_of_loss} This page shows how things stood at ${at}; waits go on by the clock of this screen.`;
}

function say(text) {
  const box = document.getElementById("link");
  if (box && box.textContent !== text) box.textContent = text;
}

function take(told, changed) {
  heard = Date.now();
  if (told.ran !== undefined) setTime(told.ran);
  const main = document.getElementById("main");
  const behind = told.seq !== undefined && Number(main?.dataset.seq) < told.seq;
  if (told.t === "line" || told.t === "look" || behind) changed();
}

/// There is never more than one line: a browser gives a page's server six connections in all.
function open({ changed, back }) {
  source?.close();
  heard = Date.now();
  source = new EventSource("/live");
  source.onopen = () => {
    say("");
    heard = Date.now();
    if (lost) back();
    lost = false;
  };
  source.onmessage = (message) => take(JSON.parse(message.data), changed);
  source.onerror = () => {
    lost = true;
    say(lost_words());
  };
}

/// A page behind other pages gives its line back and asks now and then, so that many open pages do not block each other.
async function ask(changed) {
  const answer = await fetch("/state.json").catch(() => null);
  if (answer?.ok) take({ t: "beat", ...(await answer.json()) }, changed);
}

export function listen(ways) {
  const show = () => {
    clearInterval(hidden);
    hidden = null;
    if (document.hidden) {
      source?.close();
      source = null;
      hidden = setInterval(() => ask(() => ways.changed()), 3000);
    } else {
      open(ways);
      ways.back();
    }
  };
  show();
  // After sleep the line may look open and be dead: no beat for 8 s, or given up, means a new one.
  setInterval(() => {
    if (hidden || (Date.now() - heard < 8000 && source?.readyState !== EventSource.CLOSED)) return;
    lost = true;
    say(lost_words());
    open(ways);
    ways.changed();  // a screen that was withdrawn learns it here
  }, 2000);
  document.addEventListener("visibilitychange", show);
  addEventListener("pageshow", (event) => { if (event.persisted) show(); });
}
