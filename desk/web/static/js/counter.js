// The counter, quicker: players as one types, half steps, and the ready time while the form changes.

const PAUSE = 150;
const page = document;

function wait(action) {
  let timer;
  return () => { clearTimeout(timer); timer = setTimeout(action, PAUSE); };
}

async function text(address, options = {}) {
  const answer = await fetch(address, { cache: "no-store", ...options, headers: { "X-Fragment": "1", ...options.headers } });
  if (answer.status === 401) { location.reload(); return null; }
  return answer.text();
}

// --- players by a few letters -------------------------------------------------------------------

function search(field) {
  const list = page.getElementById(field.dataset.into);
  const form = field.form;
  let shown = field.value.trim();
  let asked = null;
  let asking = null;
  let chosen = 0;

  const links = () => [...list.querySelectorAll(".found a")];
  const mark = () => links().forEach((link, at) => link.closest("li").classList.toggle("chosen", at === chosen && shown !== ""));
  // What is being asked for already is waited for, not asked again: Enter often comes before the answer.
  const ask = () => {
    const wanted = field.value.trim();
    if (wanted === shown) return Promise.resolve();
    if (asking?.wanted !== wanted) asking = { wanted, answer: look(wanted).finally(() => { if (asking?.wanted === wanted) asking = null; }) };
    return asking.answer;
  };
  const look = async (wanted) => {
    asked?.abort();
    asked = new AbortController();
    const found = await text(`${field.dataset.search}?q=${encodeURIComponent(wanted)}`, { signal: asked.signal });
    if (found === null) return;
    list.innerHTML = found;
    [shown, chosen] = [wanted, 0];
    mark();
  };
  const later = wait(() => ask().catch(() => {}));

  field.addEventListener("input", later);
  field.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (!step || !links().length) return;
    event.preventDefault();
    chosen = (chosen + step + links().length) % links().length;
    mark();
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    try { await ask(); } catch { form.submit(); return; }
    const link = shown && links()[chosen];
    if (link) location.assign(link.href);
    else if (list.querySelector("form [type=checkbox], form [type=tel]")) list.querySelector("form [type=checkbox], form [type=tel]").focus();
    else list.querySelector("form")?.requestSubmit();
  });
  mark();
}

// --- tensions -----------------------------------------------------------------------------------

function step(field, by) {
  const read = field.value.trim().replace(",", ".").match(/^(\d+(?:\.\d+)?)(.*)$/);
  if (!read) return;
  field.value = String(Math.max(0, Number(read[1]) + by)) + read[2];
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

const taken = () => [...page.querySelectorAll("[data-racquet]")].filter((one) => one.querySelector("[data-take]").checked);

function stepAll(by) {
  for (const racquet of taken()) for (const field of racquet.querySelectorAll(".tension-input")) step(field, by);
}

function copyFirst() {
  const [first, ...rest] = taken();
  if (!first) return;
  const part = (field) => field.name.split("-").slice(1).join("-");
  for (const racquet of rest) {
    for (const field of racquet.querySelectorAll("input:not([data-take], [data-own]), select")) {
      const same = [...first.querySelectorAll("input, select")].find((one) => part(one) === part(field) && (one.type !== "radio" || one.value === field.value));
      if (!same) continue;
      if (field.matches("[type=radio], [type=checkbox]")) field.checked = same.checked;
      else field.value = same.value;
    }
  }
  first.dispatchEvent(new Event("change", { bubbles: true }));
  page.getElementById("accept").focus();
}

function takeAll(link) {
  for (const box of page.querySelectorAll("[data-take=known]")) box.checked = true;
  link.closest("form").dispatchEvent(new Event("change", { bubbles: true }));
  page.getElementById("accept").focus();
}

// --- the ready time -----------------------------------------------------------------------------

const asked = new WeakMap();

async function askReady(form, place) {
  asked.get(form)?.abort();
  asked.set(form, new AbortController());
  const options = { method: "POST", body: new FormData(form), signal: asked.get(form).signal };
  const found = await text(form.dataset.ready, options);
  if (found === null) return;
  const held = place.contains(page.activeElement) ? page.activeElement.name : "";
  place.innerHTML = found;
  if (held) (place.querySelector(`[name="${held}"]:checked`) ?? place.querySelector(`[name="${held}"]`))?.focus();
  place.classList.remove("stale");
  markFaults(form, place);
  if (place.querySelector("[data-consent]")) page.getElementById("found-on-frame")?.setAttribute("open", "");
}

// What cannot be, such as 240 kg, stands beside its field as well as beside the ready time.
function markFaults(form, place) {
  for (const old of form.querySelectorAll(".fault[data-live]")) {
    old.closest(".wrong")?.classList.remove("wrong");
    old.remove();
  }
  for (const fault of place.querySelectorAll("[data-fault-of]")) {
    const box = page.getElementById(fault.dataset.faultOf)?.closest(".stepper");
    if (!box || box.querySelector(".fault")) continue;
    const beside = Object.assign(page.createElement("p"), { className: "fault", textContent: fault.textContent });
    beside.dataset.live = "yes";
    box.classList.add("wrong");
    box.append(beside);
  }
}

// What was found needs a word and, worn grommets, the owner's consent: their place opens.
function found(event) {
  if (event.target.matches("[name=frame_check]:not([value=sound])")) page.getElementById("found-on-frame").open = true;
}

const timers = new WeakMap();

function changed(event) {
  const form = event.target.closest?.("form[data-ready]");
  const place = form && page.getElementById(form.dataset.into);
  if (!place || event.target.closest(".frame-check, .visit-new, [data-own]")) return;
  // What was typed was asked for by its input; the change when the field is left would make the touch on Accept miss.
  if (event.type === "change" && event.target.matches("input:not([type=checkbox], [type=radio])")) return;
  place.classList.add("stale");
  // An answer to what stood there before would show its time as if it were the one for this.
  asked.get(form)?.abort();
  clearTimeout(timers.get(form));
  const give = (error) => { if (error.name !== "AbortError") place.classList.remove("stale"); };
  timers.set(form, setTimeout(() => askReady(form, place).catch(give), PAUSE));
}

page.addEventListener("input", changed);
page.addEventListener("change", changed);
page.addEventListener("change", found);
// What was touched while this still came in changed its form before anybody listened.
for (const form of page.querySelectorAll("form[data-ready]")) {
  if ([...form.elements].some((one) => one.checked !== one.defaultChecked)) changed({ type: "change", target: form });
}

// --- a proposal, to be read out; nothing is filled in from it ------------------------------------

async function propose(details) {
  const place = details.querySelector("[aria-live]");
  if (!details.open || place.dataset.asked) return;
  place.dataset.asked = "yes";
  try { place.innerHTML = (await text(details.dataset.propose)) ?? place.innerHTML; } catch { delete place.dataset.asked; }
}

for (const details of page.querySelectorAll("[data-propose]")) details.addEventListener("toggle", () => propose(details));

// --- a bar that lies over the form while its own place is still below the screen -------------------

function lieOver(place, bar) {
  const seen = ([at]) => bar.classList.toggle("lies-over", !at.isIntersecting && at.boundingClientRect.top > 0);
  new IntersectionObserver(seen, { rootMargin: "0px 0px -15% 0px" }).observe(place);
}

// --- the page -----------------------------------------------------------------------------------

for (const one of page.querySelectorAll("[data-scripted]")) one.hidden = false;
for (const field of page.querySelectorAll("[data-search]")) search(field);
for (const place of page.querySelectorAll("[data-place-of]")) lieOver(place, page.getElementById(place.dataset.placeOf));

page.addEventListener("click", (event) => {
  const on = (name) => event.target.closest(`[${name}]`);
  if (on("data-step")) step(page.getElementById(on("data-step").dataset.for), Number(on("data-step").dataset.step));
  else if (on("data-step-all")) stepAll(Number(on("data-step-all").dataset.stepAll));
  else if (on("data-copy")) copyFirst();
  else if (on("data-take-all")) { event.preventDefault(); takeAll(on("data-take-all")); }
});

// Enter in what is added on the way presses its own button; the form's first one would accept the visit.
page.addEventListener("keydown", (event) => {
  const button = event.key === "Enter" && event.target.matches("input") && event.target.closest(".visit-new")?.querySelector("button");
  if (button) { event.preventDefault(); button.click(); }
});

page.addEventListener("keydown", (event) => {
  if (!event.target.matches?.(".tension-input")) return;
  const by = { ArrowUp: 0.5, ArrowDown: -0.5 }[event.key];
  if (by) { event.preventDefault(); step(event.target, by); }
});
