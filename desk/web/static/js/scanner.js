// A USB scanner types a code faster than any hand and sends Enter: wherever the cursor is, the tag opens.

const FASTEST_HAND = 45; // ms between two keys; scanners need under 20
const SHORTEST_CODE = 4;
const FIGURE = /^\d{1,3}([.,]\d*)?$/; // quick fingers in a field for figures

export function listenForScans() {
  const address = document.body.dataset.tags;
  if (!address) return;
  let typed = "";
  let last = 0;
  let before = null;

  document.addEventListener("keydown", (event) => {
    const field = event.target.matches("input, textarea") ? event.target : null;
    const slow = event.timeStamp - last > FASTEST_HAND;
    const isFigure = field && field.inputMode === "decimal" && FIGURE.test(typed);
    if (event.key === "Enter" && !slow && typed.length >= SHORTEST_CODE && !isFigure) {
      event.preventDefault();
      event.stopPropagation();
      if (field && before !== null) field.value = before;
      open(address, typed);
      typed = "";
      return;
    }
    if (event.key.length !== 1 || event.ctrlKey || event.metaKey || event.altKey) return;
    if (slow) { typed = ""; before = field ? field.value : null; }
    typed += event.key;
    last = event.timeStamp;
    // The letters and slashes of a scanned link are no keys of the screen.
    if (!field && typed.length > 1) { event.preventDefault(); event.stopPropagation(); }
  }, true);
}

function open(address, text) {
  const code = text.trim().split(/[/?#=]/).filter(Boolean).pop();
  location.assign(`${address}?code=${encodeURIComponent(code)}`);
}
