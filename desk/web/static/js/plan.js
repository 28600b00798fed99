// Lays the plan's blocks out to scale, and lets a waiting one be moved: dragged onto a row, or with
// the keys up and down and Enter. Every move goes to the racquet's page, which shows its price first.

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
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize), lane = 8.5 * rem;
  const scale = Math.max(REM_A_MINUTE * rem, (plan.clientWidth - lane) / (to - from));
  plan.style.setProperty("--width", `${(to - from) * scale}px`);
  for (const part of plan.querySelectorAll("[data-start]")) place(part, from, to, scale);
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

function place(part, from, to, scale) {
  const start = Math.max(from, Number(part.dataset.start));
  const end = Math.min(to, Number(part.dataset.end || to));
  part.hidden = end <= start;
  part.style.left = `${(start - from) * scale}px`;
  part.style.width = `${(end - start) * scale}px`;
}

function show(block, row, minute) {
  const address = new URL(block.querySelector("a").href);
  address.searchParams.set("stringer_id", row.dataset.stringer);
  if (minute) address.searchParams.set("start", String(minute));
  location.href = address;
}

function minuteAt(plan, row, x) {
  const lane = row.querySelector(".plan-lane").getBoundingClientRect();
  const from = Number(plan.dataset.from), to = Number(plan.dataset.to);
  return Math.round(from + ((x - lane.left) / lane.width) * (to - from));
}

let dragged = null;
document.addEventListener("dragstart", (event) => {
  dragged = event.target.closest?.(".plan-block[draggable]");
  if (dragged) event.dataTransfer.setData("text/plain", dragged.dataset.job);
});
document.addEventListener("dragover", (event) => {
  const row = event.target.closest?.(".plan-row");
  mark(dragged && row);
  if (dragged && row) event.preventDefault();
});
document.addEventListener("dragend", () => { dragged = null; mark(null); });
document.addEventListener("drop", (event) => {
  const row = event.target.closest?.(".plan-row");
  if (!dragged || !row) return;
  event.preventDefault();
  show(dragged, row, minuteAt(row.closest("[data-plan]"), row, event.clientX));
});

let target = null;
function mark(row) {
  target?.classList.remove("is-target");
  target = row || null;
  target?.classList.add("is-target");
}

document.addEventListener("keydown", (event) => {
  const block = event.target.closest?.(".plan-block[draggable]");
  if (!block) return;
  const rows = [...document.querySelectorAll(".plan-row")];
  if (event.key === "ArrowUp" || event.key === "ArrowDown") {
    const at = rows.indexOf(target || block.closest(".plan-row"));
    mark(rows[Math.min(rows.length - 1, Math.max(0, at + (event.key === "ArrowUp" ? -1 : 1)))]);
    event.preventDefault();
  } else if (event.key === "Enter" && target) {
    event.preventDefault();
    show(block, target);
  } else if (event.key === "Escape") mark(null);
});
document.addEventListener("focusout", () => { if (!dragged) mark(null); });

layOut();
document.addEventListener("fragment:changed", layOut);
WIDE.addEventListener("change", layOut);
window.addEventListener("resize", layOut);
