// One touch for a list of checks that are all right; each can still be taken out again.

export function tickAll() {
  const show = () => { for (const one of document.querySelectorAll("label:has([data-all-of])")) one.hidden = false; };
  new MutationObserver(show).observe(document.body, { childList: true, subtree: true });
  show();
  document.addEventListener("change", (event) => {
    const form = event.target.form;
    const all = form?.querySelector("[data-all-of]");
    if (!all) return;
    const each = [...form.querySelectorAll(`[name="${all.dataset.allOf}"]`)];
    if (event.target === all) for (const one of each) one.checked = all.checked;
    else if (each.includes(event.target)) all.checked = each.every((one) => one.checked);
  });
}
