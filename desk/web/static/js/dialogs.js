// data-confirm="Question?" on a button asks before its form is sent; data-dialog="id" opens a <dialog>.

export function openDialogs() {
  document.addEventListener("click", (event) => {
    const opener = event.target.closest("[data-dialog]");
    if (opener) {
      event.preventDefault();
      document.getElementById(opener.dataset.dialog)?.showModal();
      return;
    }
    if (event.target.closest("[data-close]")) event.target.closest("dialog")?.close();
    const asking = event.target.closest("button[data-confirm]");
    if (!asking || asking.dataset.confirmed) return;
    event.preventDefault();
    ask(asking);
  });
}

function ask(button) {
  const dialog = document.createElement("dialog");
  const question = document.createElement("p");
  question.id = "question";
  question.textContent = button.dataset.confirm;
  dialog.setAttribute("aria-labelledby", question.id);
  const yes = answer(button.textContent.trim(), "go");
  const no = answer("No, go back", "");
  const buttons = document.createElement("div");
  buttons.className = "buttons";
  buttons.append(yes, no);
  dialog.append(question, buttons);
  document.body.append(dialog);
  yes.addEventListener("click", () => {
    dialog.close();
    button.dataset.confirmed = "yes";
    button.form.requestSubmit(button);
    delete button.dataset.confirmed;
  });
  no.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => { dialog.remove(); button.focus(); });
  dialog.showModal();
  no.focus();
}

function answer(text, style) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = style;
  button.textContent = text;
  return button;
}
