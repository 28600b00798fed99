const button = document.querySelector("[data-print]");
button.hidden = false;
button.addEventListener("click", () => window.print());
button.focus();
