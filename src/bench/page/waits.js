// Shows what the server says about time. Nothing is counted here: each look works out what is left from the server's
// clock, and a page that slept asks again. Without connection the screen's own clock has to do, and the page says so.
import { ring, soundButton } from "./sound.js";

let server = null;  // the record's clock at `mine`
let mine = 0;
let live = false;   // the server itself told it, not a page out of the keeper
const stopped = new Set();  // alarms stopped on this screen while it had no connection
const kGrace = 3;           // seconds that the server has to tell of an end before the screen rings by itself

export function setTime(ran, told = true) {
  server = ran;
  mine = performance.now();
  live = told;
}

/// The record's clock now, in ms, as far as the server has told this page; no clock that anybody can set is in it.
export const record_now = () => (live ? server + (performance.now() - mine) : null);

function words(seconds) {
  const s = Math.max(0, Math.ceil(seconds));
  if (s < 60) return `${s} s`;
  const m = Math.ceil(s / 60);
  if (s < 600) return `${Math.floor(s / 60)} min ${String(s % 60).padStart(2, "0")} s`;
  if (m < 60) return `${m} min`;
  if (m < 60 * 24) return `${Math.floor(m / 60)} h${m % 60 ? ` ${m % 60} min` : ""}`;
  return `${Math.floor(m / 1440)} d${Math.floor((m % 1440) / 60) ? ` ${Math.floor((m % 1440) / 60)} h` : ""}`;
}

function put(node, text) {
  if (node && node.textContent !== text) node.textContent = text;
}

/// Nobody has told us, so it ends by this screen's clock.
function end_here(one, over) {
  const timer = one.closest(".timer");
  put(one, one.dataset.ended);
  put(one.nextElementSibling, ` since ${words(over)}, by the clock of this screen`);
  if (!timer || timer.dataset.here) return;
  timer.dataset.here = "1";
  timer.classList.add("ready");
  const stop = document.createElement("button");
  stop.type = "button";
  stop.textContent = "Stop the alarm on this screen";
  stop.onclick = () => { stopped.add(timer.dataset.timer); stop.remove(); show(); };
  if (!stopped.has(timer.dataset.timer)) timer.append(stop);
}

function show() {
  const main = document.getElementById("main");
  if (!main || server === null) return;
  const now = server + (performance.now() - mine);
  const drawn = Number(main.dataset.ran);
  for (const one of document.querySelectorAll("[data-until]")) {
    const left = Number(one.dataset.until) - (now - drawn) / 1000;
    if (left < -kGrace) end_here(one, -left);
    else put(one, words(left));
  }
  const undo = document.getElementById("undo");
  if (undo && Number(undo.dataset.left) * 1000 < now - drawn) undo.remove();
  alarm();
}

/// Words and shape are on the page already; this adds sound, vibration and the title.
function alarm() {
  const here = [...document.querySelectorAll("[data-here]")].filter((t) => t.dataset.sounds !== "1" && !stopped.has(t.dataset.timer));
  const count = document.querySelectorAll('[data-sounds="1"]').length + here.length;
  const title = document.title.replace(/^\(\d+\) /, "");
  const fresh = count > 0 ? `(${count}) ${title}` : title;
  if (document.title !== fresh) document.title = fresh;
  if (count > 0) ring();
}

let started = false;
export function countDown() {
  const main = document.getElementById("main");
  if (main) setTime(Number(main.dataset.ran) + (main.dataset.kept ? Math.max(0, Date.now() - Number(main.dataset.kept)) : 0), !main.dataset.kept);
  soundButton();
  show();
  if (started) return;
  started = true;
  setInterval(show, 500);
}
