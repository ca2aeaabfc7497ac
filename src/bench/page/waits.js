// Shows what the server says about time. Nothing is counted here: each look works out what is left from the server's
// clock, and a page that slept asks again.
let server = null;  // the record's clock at `mine`
let mine = 0;
let sound = null;
let wanted = true;
let rung = 0;

export function setTime(ran) {
  server = ran;
  mine = performance.now();
}

function words(seconds) {
  const s = Math.max(0, Math.ceil(seconds));
  if (s < 60) return `${s} s`;
  const m = Math.ceil(s / 60);
  if (s < 600) return `${Math.floor(s / 60)} min ${String(s % 60).padStart(2, "0")} s`;
  if (m < 60) return `${m} min`;
  if (m < 60 * 24) return `${Math.floor(m / 60)} h${m % 60 ? ` ${m % 60} min` : ""}`;
  return `${Math.floor(m / 1440)} d${Math.floor((m % 1440) / 60) ? ` ${Math.floor((m % 1440) / 60)} h` : ""}`;
}

function show() {
  const main = document.getElementById("main");
  if (!main || server === null) return;
  const now = server + (performance.now() - mine);
  const drawn = Number(main.dataset.ran);
  for (const one of document.querySelectorAll("[data-until]")) {
    const text = words(Number(one.dataset.until) - (now - drawn) / 1000);
    if (one.textContent !== text) one.textContent = text;
  }
  const undo = document.getElementById("undo");
  if (undo && Number(undo.dataset.left) * 1000 < now - drawn) undo.remove();
  alarm();
}

/// Words and shape are on the page already; this adds sound, vibration and the title.
function alarm() {
  const count = document.querySelectorAll('[data-sounds="1"]').length;
  const title = document.title.replace(/^\(\d+\) /, "");
  const fresh = count > 0 ? `(${count}) ${title}` : title;
  if (document.title !== fresh) document.title = fresh;
  if (count === 0 || !wanted || Date.now() - rung < 4000) return;
  rung = Date.now();
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([300, 150, 300]);
  if (!sound || sound.state !== "running") return;
  for (const [at, pitch] of [[0, 660], [0.25, 880], [0.5, 660]]) {
    const tone = sound.createOscillator();
    const level = sound.createGain();
    tone.frequency.value = pitch;
    level.gain.setValueAtTime(0.25, sound.currentTime + at);
    level.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + at + 0.22);
    tone.connect(level).connect(sound.destination);
    tone.start(sound.currentTime + at);
    tone.stop(sound.currentTime + at + 0.24);
  }
}

function soundButton() {
  const button = document.getElementById("sound");
  if (!button || button.onclick || !globalThis.AudioContext) return;
  button.hidden = false;
  const label = () => { button.textContent = sound?.state === "running" && wanted ? "Sound is on: mute it" : "Sound is off: turn it on"; };
  // A browser lets a page sound only after a touch: the first one anywhere is enough.
  const wake = async () => { sound ??= new AudioContext(); await sound.resume(); label(); };
  document.addEventListener("pointerdown", wake, { once: true });
  document.addEventListener("keydown", wake, { once: true });
  button.onclick = async () => {
    const on = sound?.state === "running" && wanted;
    wanted = !on;
    if (wanted) await wake();
    label();
  };
}

let started = false;
export function countDown() {
  const main = document.getElementById("main");
  if (main) setTime(Number(main.dataset.ran));
  soundButton();
  show();
  if (started) return;
  started = true;
  setInterval(show, 500);
}
