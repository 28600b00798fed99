// Clocks run on between two answers of the server; [data-since] counts the minutes of a job.

const loaded = Date.now();

function shown(zone) {
  return new Intl.DateTimeFormat("en-GB", { timeZone: zone, hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
}

export function runClocks() {
  const clock = document.querySelector("[data-clock]");
  if (!clock) return;
  const start = Date.parse(clock.dateTime);
  const speed = Number(clock.dataset.speed || 1);
  const format = shown(clock.dataset.zone);
  const tick = () => {
    const now = start + (Date.now() - loaded) * speed;
    const text = format.format(new Date(now));
    if (clock.textContent !== text) clock.textContent = text;
    for (const count of document.querySelectorAll("[data-since]")) {
      const minutes = Math.max(0, Math.floor((now - Date.parse(count.dataset.since)) / 60000));
      if (count.textContent !== String(minutes)) count.textContent = String(minutes);
    }
  };
  tick();
  setInterval(tick, 1000);
}
