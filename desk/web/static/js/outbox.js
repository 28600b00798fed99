// Touches at a bench survive a gap of the wifi. A form with data-outbox is sent by the script; when
// nothing answers it waits in this browser, and goes out later, once (its request key sees to that)
// and in the order of the touches. The page says what is kept and what became of it.

import { refreshAll } from "./fragments.js";

const STORE = "desk-outbox";
const RETRY = 4000;
let sending = false;

export function sendLater() {
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-outbox]") || event.defaultPrevented) return;
    event.preventDefault();
    keep(form, event.submitter);
  });
  if (read().length) { say(); sendAll(); }
  setInterval(() => { if (read().length) sendAll(); }, RETRY);
  window.addEventListener("online", sendAll);
}

function read() {
  try { return JSON.parse(localStorage.getItem(STORE)) || []; } catch { return []; }
}

function write(touches) {
  localStorage.setItem(STORE, JSON.stringify(touches));
}

function newKey() {
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function keep(form, submitter) {
  const data = new FormData(form, submitter);
  data.delete("csrf_token");
  data.set("request_key", newKey());
  const touch = { address: form.action, body: new URLSearchParams(data).toString(), at: Date.now(), word: form.dataset.outbox };
  write([...read(), touch]);
  for (const button of form.querySelectorAll("button")) button.disabled = true;
  form.dispatchEvent(new CustomEvent("outbox:kept", { bubbles: true }));
  sendAll().finally(() => setTimeout(() => { for (const button of form.querySelectorAll("button")) button.disabled = false; }, 400));
}

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    for (let touch = read()[0]; touch; touch = read()[0]) {
      const said = await send(touch);
      if (said === null) break;
      write(read().slice(1));
      if (said || Date.now() - touch.at > 5000) say(said || `Sent: ${touch.word}, touched at ${timeOf(touch)}.`, true);
      else say();
    }
  } finally {
    sending = false;
  }
  if (read().length) say(); else refreshAll();
}

// Returns "" when it was taken, a sentence when it was refused, null when nothing answered.
async function send(touch) {
  const headers = {
    "Content-Type": "application/x-www-form-urlencoded",
    "X-CSRFToken": document.body.dataset.csrf,
    "X-Fragment": "1",
    "X-Touched-Ago": String(Math.floor((Date.now() - touch.at) / 1000)),
  };
  let answer;
  try {
    answer = await fetch(touch.address, { method: "POST", headers, body: touch.body, redirect: "manual", signal: AbortSignal.timeout(8000) });
  } catch {
    return null;
  }
  if (answer.type === "opaqueredirect" || answer.ok) return "";
  if (answer.status === 401) { say("Your sign-in has ended. Sign in again: what you touched is kept and is sent then.", true); return null; }
  if (answer.status >= 500) return null;
  return `Not done: ${touch.word}, touched at ${timeOf(touch)}. ${await sentence(answer)}`;
}

async function sentence(answer) {
  const holder = document.createElement("template");
  holder.innerHTML = await answer.text();
  return (holder.content.querySelector("[role=alert]")?.textContent || "").trim();
}

function timeOf(touch) {
  return new Date(touch.at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

function say(sentence = "", stays = false) {
  const line = document.getElementById("kept");
  if (!line) return;
  const waiting = read();
  if (!sentence && !waiting.length) { if (!line.dataset.stays) line.hidden = true; return; }
  line.hidden = false;
  if (stays) line.dataset.stays = "yes";
  const kept = waiting.length ? `Kept on this device, sent when the connection is back: ${waiting.map((touch) => touch.word).join(", ")}.` : "";
  line.textContent = [sentence, kept].filter(Boolean).join(" ");
  if (stays && !waiting.length) setTimeout(() => { delete line.dataset.stays; line.hidden = true; }, 8000);
}
