// Touches at a bench survive a gap of the wifi. A form with data-outbox is sent by the script; when
// nothing answers it waits in this browser, and goes out later, once (its request key sees to that),
// in the order of the touches and only for whoever made them. The page says what is kept and what
// became of it. data-then="id" names a form that may be used while this one still waits.

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
  setInterval(() => { if (mine().length) sendAll(); }, RETRY);
  window.addEventListener("online", sendAll);
}

function read() {
  try { return JSON.parse(localStorage.getItem(STORE)) || []; } catch { return []; }
}

function write(touches) {
  localStorage.setItem(STORE, JSON.stringify(touches));
}

function mine() {
  return read().filter((touch) => touch.actor === document.body.dataset.actor);
}

function isRecent(touch) {
  return Date.now() - touch.at <= 5000;
}

function forget(key) {
  write(read().filter((touch) => touch.key !== key));
}

function newKey() {
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function keep(form, submitter) {
  const data = new FormData(form, submitter);
  data.delete("csrf_token");
  const touch = { key: newKey(), address: form.action, at: Date.now(), word: form.dataset.outbox, actor: document.body.dataset.actor };
  data.set("request_key", touch.key);
  touch.body = new URLSearchParams(data).toString();
  if (mine().some((kept) => kept.word === touch.word)) { say(); return; }
  write([...read(), touch]);
  seen();
  const buttons = form.querySelectorAll("button");
  for (const button of buttons) button.disabled = true;
  sendAll().finally(() => {
    for (const button of buttons) button.disabled = false;
    const then = document.getElementById(form.dataset.then);
    if (then && mine().length) then.hidden = false;
  });
}

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    for (let touch = mine()[0]; touch; touch = mine()[0]) {
      const said = await send(touch);
      if (said === null) break;
      forget(touch.key);
      if (said || !isRecent(touch)) say(said || `Sent: ${touch.word}, touched at ${timeOf(touch)}.`, true);
      else say();
    }
  } finally {
    sending = false;
  }
  if (mine().length) say(); else refreshAll();
}

// Returns "" when it was taken or its form says why not, a sentence when it was refused, null when nothing answered.
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
  const { sentence, isInForm } = refused(touch, await answer.text());
  return isInForm && isRecent(touch) ? "" : `Not done: ${touch.word}, touched at ${timeOf(touch)}. ${sentence}`;
}

// Gives the sentence of a refusal; where the form still stands, it becomes the one that says what is wrong.
function refused(touch, text) {
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const sentence = (holder.content.querySelector("[data-refused], [role=alert]")?.textContent || "").trim();
  const same = (root) => [...root.querySelectorAll("form[data-outbox]")].find((form) => form.dataset.outbox === touch.word);
  const [shown, fresh] = [same(document), same(holder.content)];
  if (shown && fresh) {
    shown.replaceWith(fresh);
    for (const field of fresh.querySelectorAll("input:not([type=hidden]), textarea")) asTyped(field);
    fresh.querySelector("[role=alert]")?.scrollIntoView({ block: "nearest" });
  }
  return { sentence, isInForm: Boolean(shown && fresh?.querySelector("[role=alert]")) };
}

// What came back with the form counts as typed by hand, so that a newer card does not empty it.
function asTyped(field) {
  const [value, checked] = [field.value, field.checked];
  if (field.matches("[type=checkbox], [type=radio]")) [field.checked, field.defaultChecked] = [checked, false];
  else [field.value, field.defaultValue] = [value, ""];
}

function timeOf(touch) {
  const clock = document.querySelector("[data-clock]");
  const hourAndMinute = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  if (!clock) return new Date(touch.at).toLocaleTimeString("en-GB", hourAndMinute);
  // By the event's clock: its zone, and its pace where a demo runs fast.
  const ago = (Date.now() - touch.at) * Number(clock.dataset.speed || 1);
  return new Date(Date.parse(clock.dateTime) - ago).toLocaleTimeString("en-GB", { ...hourAndMinute, timeZone: clock.dataset.zone });
}

// Whoever touches again has read what stood there.
function seen() {
  const line = document.getElementById("kept");
  if (!line?.dataset.stays) return;
  delete line.dataset.stays;
  line.hidden = true;
}

function say(sentence = "", stays = false) {
  const line = document.getElementById("kept");
  if (!line) return;
  const waiting = mine();
  const others = [...new Set(read().map((touch) => touch.actor))].filter((name) => name !== document.body.dataset.actor);
  if (others.length) sentence = `${sentence} Touches of ${others.join(", ")} are kept here too, until they sign in.`.trim();
  if (!sentence && !waiting.length) { if (!line.dataset.stays) line.hidden = true; return; }
  line.hidden = false;
  if (stays) line.dataset.stays = "yes";
  const kept = waiting.length ? `Kept on this device, sent when the connection is back: ${waiting.map((touch) => touch.word).join(", ")}.` : "";
  line.textContent = [sentence, kept].filter(Boolean).join(" ");
  if (stays && !waiting.length) setTimeout(() => { delete line.dataset.stays; line.hidden = true; }, 8000);
}
