// data-key="s" on a link, button or field: that key alone goes there, except while somebody types. "?" lists them;
// data-keys names keys that a part of the page takes by itself, and data-key-word says what a key does where the text
// of its element does not.

const TYPED_IN = "input:not([type=checkbox], [type=radio]), select, textarea, [contenteditable], dialog[open]";

export function listenForKeys() {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (event.target.closest(TYPED_IN)) return;
    if (event.key === "Escape" && ["#menu", "#more"].includes(location.hash)) location.hash = "top";
    if (event.key.length !== 1) return;
    const found = event.key === "?" ? opener() : document.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
    if (!found || found.disabled) return;
    event.preventDefault();
    if (found.matches("input, select, textarea")) found.focus();
    else found.click();
    found.control?.focus();
  });
  const button = opener();
  if (!button) return;
  button.hidden = false;
  button.addEventListener("click", () => listKeys(button));
}

const opener = () => document.querySelector("[data-keys-open]");

function listKeys(button) {
  const list = document.createElement("dl");
  list.className = "keys";
  for (const one of document.querySelectorAll("main [data-key], main [data-keys], [data-key], [data-keys-open]")) {
    if (one.checkVisibility()) list.append(...line(one));
  }
  const dialog = document.createElement("dialog");
  dialog.innerHTML = '<h2 id="keys-of">Keys of this screen</h2><p class="buttons"><button type="button" data-close>Close</button></p>';
  dialog.setAttribute("aria-labelledby", "keys-of");
  dialog.firstChild.after(list);
  document.body.append(dialog);
  dialog.addEventListener("close", () => { dialog.remove(); button.focus(); });
  dialog.showModal();
}

function line(one) {
  const key = document.createElement("dt");
  const word = document.createElement("dd");
  key.textContent = one.dataset.keys ?? one.dataset.key?.toUpperCase() ?? "?";
  word.textContent = one.dataset.keyWord ?? (one.getAttribute("aria-label") || one.placeholder || plainText(one));
  return [key, word];
}

function plainText(one) {
  const copy = one.cloneNode(true);
  for (const key of copy.querySelectorAll("kbd")) key.remove();
  return copy.textContent.replace(/\s+/g, " ").trim();
}
