// <section data-fragment="/address" data-every="5"> asks for itself with the ETag it has, and is
// exchanged when it changed; with data-soon it does so at once, for what takes the server a while.
// What somebody is typing, the focus and open details survive.

const LONGEST_PAUSE = 30;
let lastFresh = Date.now();
let lost = false;

export function keepFragmentsFresh() {
  for (const section of document.querySelectorAll("[data-fragment]")) {
    section.shown = normal(section.innerHTML);
    if ("soon" in section.dataset) refresh(section);
    else schedule(section, 0);
  }
  document.addEventListener("visibilitychange", () => { if (!document.hidden) refreshAll(); });
  window.addEventListener("online", refreshAll);
  setInterval(showAge, 5000);
}

export function refreshAll() {
  for (const section of document.querySelectorAll("[data-fragment]")) refresh(section);
}

function schedule(section, failures) {
  const every = Number(section.dataset.every || 5);
  const pause = Math.min(every * 2 ** failures, Math.max(every, LONGEST_PAUSE));
  clearTimeout(section.timer);
  section.timer = setTimeout(() => (document.hidden ? schedule(section, 0) : refresh(section)), pause * (900 + Math.random() * 200));
}

async function refresh(section) {
  if (section.busy || !section.isConnected) return;
  section.busy = true;
  const failed = await ask(section).then(() => 0, () => 1);
  section.failures = failed ? (section.failures || 0) + 1 : 0;
  section.busy = false;
  lost = Boolean(failed);
  if (!failed) lastFresh = Date.now();
  showAge();
  schedule(section, section.failures);
}

async function ask(section) {
  const headers = { "X-Fragment": "1" };
  if (section.dataset.etag) headers["If-None-Match"] = section.dataset.etag;
  const answer = await fetch(section.dataset.fragment, { headers, cache: "no-store", signal: AbortSignal.timeout(8000) });
  if (answer.status === 304) {
    section.dataset.etag = answer.headers.get("ETag") || section.dataset.etag;
    return;
  }
  if (answer.status === 401) { location.reload(); return; }
  if (!answer.ok) throw new Error(String(answer.status));
  const text = await answer.text();
  section.dataset.etag = answer.headers.get("ETag") || "";
  exchange(section, text);
}

function exchange(section, text) {
  const fresh = document.createElement("template");
  fresh.innerHTML = text;
  const shown = normal(text);
  if (section.shown === shown) return;
  section.shown = shown;
  const kept = keep(section);
  section.replaceChildren(fresh.content);
  giveBack(section, kept);
  section.classList.add("changed");
  setTimeout(() => section.classList.remove("changed"), 1500);
  section.dispatchEvent(new CustomEvent("fragment:changed", { bubbles: true }));
}

// The token differs in every answer and the parser writes some things its own way.
function normal(html) {
  const holder = document.createElement("template");
  holder.innerHTML = html;
  for (const field of holder.content.querySelectorAll("[name=csrf_token], [name=request_key]")) field.setAttribute("value", "");
  return holder.innerHTML.replace(/\s+/g, " ").trim();
}

function nameOf(element) {
  if (element.id) return "#" + CSS.escape(element.id);
  const form = element.closest("form[id]");
  if (!form || !element.name) return null;
  const value = element.matches("[type=checkbox], [type=radio], button") ? `[value="${CSS.escape(element.value)}"]` : "";
  return `#${CSS.escape(form.id)} [name="${CSS.escape(element.name)}"]${value}`;
}

function keep(section) {
  const kept = { fields: [], open: [], focus: null, range: null };
  for (const field of section.querySelectorAll("input, select, textarea")) {
    const typed = field.matches("[type=checkbox], [type=radio]") ? field.checked !== field.defaultChecked : field.type !== "hidden" && field.value !== field.defaultValue;
    if (typed && nameOf(field)) kept.fields.push([nameOf(field), field.value, field.checked]);
  }
  for (const details of section.querySelectorAll("details[id]")) kept.open.push([details.id, details.open]);
  const active = document.activeElement;
  if (active && section.contains(active)) {
    kept.focus = nameOf(active);
    if (active.matches("input:not([type=checkbox], [type=radio]), textarea")) kept.range = [active.selectionStart, active.selectionEnd];
  }
  return kept;
}

function giveBack(section, kept) {
  for (const [name, value, checked] of kept.fields) {
    const field = section.querySelector(name);
    if (!field) continue;
    if (field.matches("[type=checkbox], [type=radio]")) field.checked = checked;
    else field.value = value;
  }
  for (const [id, open] of kept.open) {
    const details = section.querySelector("#" + CSS.escape(id));
    if (details) details.open = open;
  }
  const focus = kept.focus && section.querySelector(kept.focus);
  if (!focus) return;
  focus.focus({ preventScroll: true });
  if (kept.range && kept.range[0] !== null) focus.setSelectionRange(...kept.range);
}

function showAge() {
  const line = document.getElementById("old");
  if (!line) return;
  const minutes = Math.floor((Date.now() - lastFresh) / 60000);
  line.hidden = !lost;
  if (lost) line.textContent = document.body.dataset.old.replace("{minutes}", String(minutes));
}
