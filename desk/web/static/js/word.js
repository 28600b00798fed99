// Asks this phone's push service for an address and gives it to the desk, or takes it back; says why where it cannot.

const place = document.getElementById("phone-place");
const button = document.getElementById("phone");
const word = document.getElementById("phone-word");
let end = "";

if (place) begin().catch(() => say("failed"));

function say(what) {
  word.textContent = what ? place.dataset[what] : "";
}

async function begin() {
  place.hidden = false;
  if (!window.isSecureContext) return say("unsafe");
  if (!("serviceWorker" in navigator) || !("PushManager" in window)) return say("unable");
  button.hidden = false;
  button.dataset.off = button.textContent;
  button.addEventListener("click", () => turn().catch(() => say(Notification.permission === "denied" ? "blocked" : "failed")));
  const known = await (await navigator.serviceWorker.getRegistration("/"))?.pushManager.getSubscription();
  const mine = known && document.querySelector(`[data-mark="${await mark(known.endpoint)}"]`);
  if (mine) { mine.hidden = true; show(mine.action); }
}

function show(address) {
  end = address;
  button.setAttribute("aria-pressed", String(Boolean(end)));
  button.textContent = end ? place.dataset.on : button.dataset.off;
}

async function turn() {
  say("");
  if (end) {
    const answer = await fetch(end, { method: "POST", headers: { "X-Fragment": "1" } });
    if (!answer.ok && answer.status !== 404) throw new Error(answer.status);
    return show("");
  }
  await navigator.serviceWorker.register(place.dataset.worker, { scope: "/" });
  const subscription = await subscribed(await ready());
  const answer = await fetch(place.dataset.ask, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(subscription),
  });
  if (!answer.ok) throw new Error(answer.status);
  show((await answer.json()).end);
  say("told");
}

async function ready() {
  const registration = await navigator.serviceWorker.getRegistration("/");
  const worker = registration.installing || registration.waiting;
  if (!registration.active && worker) {
    await new Promise((done) => worker.addEventListener("statechange", () => { if (worker.state === "activated") done(); }));
  }
  return registration;
}

async function subscribed(registration) {
  const key = Uint8Array.from(atob(place.dataset.key.replace(/-/g, "+").replace(/_/g, "/")), (one) => one.charCodeAt(0));
  const known = await registration.pushManager.getSubscription();
  const same = known && String(new Uint8Array(known.options.applicationServerKey)) === String(key);
  if (same) return known;
  await known?.unsubscribe();
  return registration.pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key });
}

async function mark(address) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(address));
  return [...new Uint8Array(digest)].map((one) => one.toString(16).padStart(2, "0")).join("").slice(0, 32);
}
