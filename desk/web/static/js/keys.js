// data-key="s" on a link, button or field: that key alone goes there, except while somebody types.

export function listenForKeys() {
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    if (event.target.closest("input:not([type=checkbox], [type=radio]), select, textarea, [contenteditable], dialog[open]")) return;
    if (event.key === "Escape" && ["#menu", "#more"].includes(location.hash)) location.hash = "top";
    if (event.key.length !== 1) return;
    const found = document.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
    if (!found || found.disabled) return;
    event.preventDefault();
    if (found.matches("input, select, textarea")) found.focus();
    else found.click();
  });
}
