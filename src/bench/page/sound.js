// Sound and vibration of an alarm. A browser lets a page sound only after a touch: the first one anywhere is enough.
let sound = null;
let wanted = true;
let rung = 0;

/// Three notes, at most every four seconds.
export function ring() {
  if (!wanted || Date.now() - rung < 4000) return;
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

export function soundButton() {
  const button = document.getElementById("sound");
  if (!button || button.onclick || !globalThis.AudioContext) return;
  button.hidden = false;
  const label = () => { button.textContent = sound?.state === "running" && wanted ? "Sound is on: mute it" : "Sound is off: turn it on"; };
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
