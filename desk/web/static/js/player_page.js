// On request a sound, and where the phone allows it a notice, when a racquet becomes ready. The page
// asks more often while one is on the machine, and goes on asking in the background once it is to tell.

import { refreshAll } from "./fragments.js";

const FAR = 15, NEAR = 4;
const section = document.getElementById("own");
const button = document.getElementById("tell");
const words = document.title;
let sound = null;

const ready = () => new Set([...document.querySelectorAll("[data-ready]:not(button)")].map((one) => one.dataset.ready));
let known = ready();

// The code of a tag leads to its own racquet.
const asked = document.getElementById(document.body.dataset.asked);
if (asked && asked.previousElementSibling) asked.scrollIntoView();

if (section && button) {
  document.getElementById("tell-place").hidden = false;
  button.addEventListener("click", turn);
  document.addEventListener("fragment:changed", changed);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) document.title = words; });
  setInterval(() => { if (sound && document.hidden) refreshAll(); }, FAR * 1000);
}

function turn() {
  const off = button.dataset.off || (button.dataset.off = button.textContent);
  sound = sound ? null : new AudioContext();
  button.setAttribute("aria-pressed", String(Boolean(sound)));
  button.textContent = sound ? button.dataset.on : off;
  if (!sound) return;
  play([660]);
  if ("Notification" in window && Notification.permission === "default") Notification.requestPermission().catch(() => {});
}

function changed() {
  section.dataset.every = document.querySelector("[data-hurry=yes]") ? NEAR : FAR;
  const now = ready();
  const fresh = [...now].filter((code) => !known.has(code));
  known = now;
  if (fresh.length && sound) tell(`${button.dataset.ready}: ${fresh.join(", ")}`);
}

function tell(text) {
  play([660, 880, 1100, 880, 1100]);
  navigator.vibrate?.([300, 150, 300]);
  document.getElementById("told").textContent = text;
  if (document.hidden) document.title = text;
  // Some phones allow notices only from an installed page and throw here.
  try { if (Notification.permission === "granted") new Notification(text); } catch { /* the sound is enough */ }
}

function play(tones) {
  tones.forEach((tone, at) => {
    const voice = sound.createOscillator(), loudness = sound.createGain();
    voice.frequency.value = tone;
    loudness.gain.value = 0.25;
    voice.connect(loudness).connect(sound.destination);
    voice.start(sound.currentTime + at * 0.22);
    voice.stop(sound.currentTime + at * 0.22 + 0.18);
  });
}
