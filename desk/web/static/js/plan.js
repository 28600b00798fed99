// Lays the plan's blocks out to scale, and lets a waiting one be moved: dragged onto a row or between two blocks
// (held first where fingers scroll), or with the keys M, up and down for the row, left and right for the place,
// Enter. Every move goes to the racquet's page, which shows before and after first.

const WIDE = matchMedia("(min-width: 60rem)");
const REM_A_MINUTE = 0.28;
let scrolled = null;

function layOut() {
  const plan = document.querySelector("[data-plan]");
  if (!plan) return;
  plan.classList.toggle("to-scale", WIDE.matches);
  plan.querySelectorAll(".plan-now").forEach((line) => line.remove());
  plan.style.setProperty("--rows", String(Math.max(4, plan.querySelectorAll(".plan-row").length)));
  plan.style.setProperty("--above", `${plan.getBoundingClientRect().top + scrollY}px`);
  plan.classList.toggle("is-dense", WIDE.matches && plan.querySelectorAll(".plan-row").length > 10);
  sift();
  if (!WIDE.matches) {
    for (const part of plan.querySelectorAll("[data-start]")) { part.hidden = false; part.style.left = part.style.width = ""; }
    return;
  }
  const from = Number(plan.dataset.from), to = Number(plan.dataset.to), now = Number(plan.dataset.now);
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
  const lane = parseFloat(getComputedStyle(plan).getPropertyValue("--lane")) * rem;
  const scale = Math.max(REM_A_MINUTE * rem, (plan.clientWidth - lane) / (to - from));
  plan.style.setProperty("--width", `${(to - from) * scale}px`);
  for (const part of plan.querySelectorAll("[data-start]")) stretch(part, from, to, scale);
  for (const hour of plan.querySelectorAll("[data-at]")) hour.style.left = `${(Number(hour.dataset.at) - from) * scale}px`;
  const line = document.createElement("div");
  line.className = "plan-now";
  line.style.left = `${lane + (now - from) * scale}px`;
  plan.append(line);
  if (scrolled === null) scrolled = Math.max(0, (now - from) * scale - 240);
  plan.scrollLeft = scrolled;
  plan.onscroll = () => { scrolled = plan.scrollLeft; };
}

// The filter: who strings, who plays, what is late. It stays while the board renews itself.
function sift() {
  const filter = document.querySelector("[data-plan-filter]");
  if (!filter) return;
  filter.hidden = false;
  const words = filter.querySelector("[type=search]").value.trim().toLowerCase();
  const late = filter.querySelector("[type=checkbox]").checked;
  for (const row of document.querySelectorAll(".plan-row")) {
    const ofRow = row.querySelector(".plan-name").textContent.toLowerCase().includes(words);
    let shown = 0;
    for (const block of row.querySelectorAll(".plan-block")) {
      const fits = (ofRow || block.textContent.toLowerCase().includes(words)) && (!late || block.matches(".is-late, .is-tight"));
      block.classList.toggle("is-aside", !fits);
      shown += fits;
    }
    row.classList.toggle("is-aside", !shown && !(ofRow && !late));
  }
}
document.addEventListener("input", (event) => { if (event.target.closest("[data-plan-filter]")) sift(); });

function stretch(part, from, to, scale) {
  const start = Math.max(from, Number(part.dataset.start));
  const end = Math.min(to, Number(part.dataset.end || to));
  part.hidden = end <= start;
  part.style.left = `${(start - from) * scale}px`;
  part.style.width = `${(end - start) * scale}px`;
}

function show(block, minute) {
  const address = new URL(block.querySelector("a").href);
  address.searchParams.set("stringer_id", target.dataset.stringer);
  address.searchParams.set("machine_id", target.dataset.machine);
  if (place) address.searchParams.set("after_id", place > 1 ? others(target, block)[place - 2].dataset.job : "0");
  if (minute) address.searchParams.set("start", String(minute));
  location.href = address;
}

function minuteAt(plan, row, x) {
  const lane = row.querySelector(".plan-lane").getBoundingClientRect();
  const from = Number(plan.dataset.from), to = Number(plan.dataset.to);
  return Math.round(from + ((x - lane.left) / lane.width) * (to - from));
}

// Where a move would go: a row, and a place in its order: 0 is where the plan puts it, 1 before all, 2 after the first.
let target = null;
let place = 0;
function mark(row, at = 0, block = null) {
  target?.classList.remove("is-target");
  document.querySelector(".is-gap, .is-gap-before")?.classList.remove("is-gap", "is-gap-before");
  target = row || null;
  place = at;
  target?.classList.add("is-target");
  const beside = at ? others(target, block)[Math.max(0, at - 2)] : null;
  beside?.classList.add(at > 1 ? "is-gap" : "is-gap-before");
}

// The racquets that wait in a row, without the one that is moved.
function others(row, block) {
  return [...row.querySelectorAll(".plan-block:not(.is-running)")].filter((one) => one.dataset.job !== block?.dataset.job);
}

function ownPlace(row, block) {
  return others(row, null).findIndex((one) => one.dataset.job === block.dataset.job) + 1;
}

function isOwn(row, block) {
  return row?.dataset.stringer === block.closest(".plan-row").dataset.stringer;
}

// The board renews itself under a move: the same row and place are marked again.
function markAgain() {
  if (!target) return;
  mark(document.querySelector(`.plan-row[data-stringer="${target.dataset.stringer}"]`), place, held?.block || document.activeElement.closest(".plan-block"));
}

function placeWords(block) {
  if (!place) return "";
  return place > 1 ? `, after ${others(target, block)[place - 2].dataset.code}` : ", next";
}

// The place at a point of a row: past the last racquet of another bench, and on a bench's name, it is the plan's.
function placeAt(row, block, x, y) {
  if (!row || document.elementFromPoint(x, y)?.closest(".plan-name")) return 0;
  const waiting = others(row, block);
  const passed = waiting.filter((one) => {
    const box = one.getBoundingClientRect();
    return WIDE.matches ? (box.left + box.right) / 2 < x : (box.top + box.bottom) / 2 < y;
  }).length;
  return passed === waiting.length && !isOwn(row, block) ? 0 : passed + 1;
}

// Dragging, by mouse at once, by finger after a moment's hold. `held` is what is under way.
const HOLD_MS = 350;
const NEAR_PX = 6;
const EDGE_PX = 60;
let held = null;

document.addEventListener("pointerdown", (event) => {
  const block = event.target.closest?.(".plan-block[data-moves]");
  if (!block || !event.isPrimary || event.button) return;
  held = { block, x: event.clientX, y: event.clientY, touch: event.pointerType === "touch", drags: false };
  if (held.touch) held.timer = setTimeout(lift, HOLD_MS);
});
document.addEventListener("pointermove", (event) => {
  if (!held) return;
  const near = Math.hypot(event.clientX - held.x, event.clientY - held.y) < NEAR_PX;
  if (!held.drags && !near) {
    if (held.touch) return drop();
    lift();
  }
  if (held.drags) carry(event.clientX, event.clientY);
});
document.addEventListener("pointerup", (event) => {
  if (!held?.drags) return drop();
  const { block } = held;
  const stays = !target || (isOwn(target, block) && [0, ownPlace(target, block)].includes(place));
  document.addEventListener("click", (click) => click.preventDefault(), { capture: true, once: true });
  setTimeout(drop);
  if (!stays) show(block, WIDE.matches && !place && minuteAt(target.closest("[data-plan]"), target, event.clientX));
});
document.addEventListener("pointercancel", drop);
document.addEventListener("touchmove", (event) => { if (held?.drags) event.preventDefault(); }, { passive: false });
document.addEventListener("contextmenu", (event) => { if (held?.touch) event.preventDefault(); });
document.addEventListener("dragstart", (event) => { if (event.target.closest?.(".plan-block")) event.preventDefault(); });

function lift() {
  held.drags = true;
  held.block.classList.add("is-lifted");
  held.sign = document.createElement("p");
  held.sign.className = "plan-carried";
  document.body.append(held.sign);
  carry(held.x, held.y);
}

function carry(x, y) {
  const row = document.elementFromPoint(x, y)?.closest(".plan-row");
  mark(row, placeAt(row, held.block, x, y), held.block);
  const name = held.block.querySelector(".plan-who").textContent.trim().replace(/\s+/g, " ");
  held.sign.textContent = row ? `${name} to ${row.getAttribute("aria-label")}${placeWords(held.block)}` : name;
  held.sign.style.left = `${Math.min(x + 12, innerWidth - held.sign.offsetWidth - 8)}px`;
  held.sign.style.top = `${Math.max(8, y - 56)}px`;
  const push = y < EDGE_PX ? -12 : y > innerHeight - EDGE_PX ? 12 : 0;
  if (push) scrollBy(0, push);
}

function drop() {
  if (!held) return;
  clearTimeout(held.timer);
  held.block.classList.remove("is-lifted");
  held.sign?.remove();
  held = null;
  mark(null);
}

// By keys: M takes the next racquet, those in trouble first; up and down choose the row, left and right the place in
// it, Enter shows what it does.
function nextBlock() {
  const all = [...document.querySelectorAll(".plan-block[data-moves]:not(.is-aside)")].filter((block) => block.checkVisibility());
  const order = [...all.filter((block) => block.matches(".is-late")), ...all.filter((block) => !block.matches(".is-late"))];
  return order[(order.indexOf(document.activeElement.closest(".plan-block")) + 1) % order.length];
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "m" && !event.target.closest("input:not([type=checkbox]), select, textarea")) {
    mark(null);
    nextBlock()?.querySelector("a").focus();
  }
  const block = event.target.closest?.(".plan-block[data-moves]");
  if (!block) return;
  const rows = [...document.querySelectorAll(".plan-row:not(.is-aside)")];
  if (event.key === "ArrowUp" || event.key === "ArrowDown") {
    const at = rows.indexOf(target || block.closest(".plan-row"));
    mark(rows[Math.min(rows.length - 1, Math.max(0, at + (event.key === "ArrowUp" ? -1 : 1)))]);
    target.scrollIntoView({ block: "nearest" });
    say(block);
    event.preventDefault();
  } else if (event.key === "ArrowLeft" || event.key === "ArrowRight") {
    const row = target || block.closest(".plan-row"), from = target ? place : ownPlace(row, block);
    const to = from + (event.key === "ArrowLeft" ? -1 : 1);
    mark(row, Math.min(others(row, block).length + 1, Math.max(1, to)), block);
    say(block);
    event.preventDefault();
  } else if (event.key === "Enter" && target) {
    event.preventDefault();
    show(block);
  } else if (event.key === "Escape") mark(null);
});
document.addEventListener("focusout", () => { if (!held) mark(null); });

function say(block) {
  const line = document.querySelector("[data-plan-said]");
  if (line) line.textContent = `To ${target.getAttribute("aria-label")}${placeWords(block)}: Enter shows what it does.`;
}

layOut();
document.addEventListener("fragment:changed", () => { layOut(); markAgain(); });
WIDE.addEventListener("change", layOut);
window.addEventListener("resize", layOut);
