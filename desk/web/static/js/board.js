// Long lists turn their pages by themselves; a page is as many whole lines as the screen holds.

const EVERY = 8000;
let turn = 0;

// A name that is cut in a wide font is set smaller.
function fitNames() {
  for (const name of document.querySelectorAll(".hall-name")) {
    name.classList.remove("tight", "tighter");
    for (const size of ["tight", "tighter"]) if (name.scrollWidth > name.clientWidth) name.classList.add(size);
  }
}

function show() {
  for (const list of document.querySelectorAll("[data-pages]")) {
    const line = list.firstElementChild?.offsetHeight || 1;
    const fits = Math.max(1, Math.round(list.clientHeight / line));
    const pages = list.scrollHeight > list.clientHeight + 1 ? Math.ceil(list.children.length / fits) : 1;
    const page = turn % pages;
    list.scrollTop = page * fits * line;
    const word = list.parentElement.querySelector(".hall-pages");
    const text = pages > 1 ? `${page + 1} / ${pages}` : "";
    if (word.textContent !== text) word.textContent = text;
  }
}

function anew() { fitNames(); show(); }

anew();
setInterval(() => { turn += 1; show(); }, EVERY);
document.addEventListener("fragment:changed", anew);
window.addEventListener("resize", anew);
