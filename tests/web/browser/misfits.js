() => {
  // What of a page's letters is cut, lies on other letters, leaves its box, or is a time in two.
  const BOXES = 'button, .button, .plan-block, th, td, .stepper, .racquet-in, .part, li, section, article, aside, header, form';
  // A form may have a field called “matches”.
  const is = (e, selector) => Element.prototype.matches.call(e, selector);
  // Whether an element or one above it passes; asked once of each element, since styles are what takes the time.
  const above = (test) => {
    const known = new Map();
    const ask = (e) => {
      if (!known.has(e)) known.set(e, test(e, getComputedStyle(e)) || (e.parentElement !== null && ask(e.parentElement)));
      return known.get(e);
    };
    return ask;
  };
  const seen = (e) => e.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true })
    && !e.closest('.unseen, .skip, [aria-hidden=true], dialog:not([open]), svg, select, option, noscript');
  const lines = (e) => [...e.childNodes].filter((n) => n.nodeType === 3 && n.data.trim());
  const rolls = above((p, style) =>
    /auto|scroll/.test(style.overflowX) || style.textOverflow === 'ellipsis' || is(p, '[data-pages]'));
  const floats = above((p, style) => /fixed|sticky/.test(style.position) || is(p, '.old, .kept, .who-more'));
  const name = (e) => {
    const kind = typeof e.className === 'string' && e.className ? `.${e.className.split(' ')[0]}` : '';
    return `${e.tagName.toLowerCase()}${kind} “${e.textContent.trim().replace(/\s+/g, ' ').slice(0, 30)}”`;
  };
  // A line's box is taller than its letters.
  const inked = (r) => ({ left: r.left, right: r.right, top: r.top + 0.24 * r.height, bottom: r.bottom - 0.22 * r.height });
  const range = document.createRange();
  const boxes = (node) => { range.selectNodeContents(node); return [...range.getClientRects()]; };
  const parts = (e) => lines(e).flatMap(boxes).filter((r) => r.width > 1 && r.height > 1).map(inked);
  const texts = [...document.querySelectorAll('body *')].filter((e) => lines(e).length && seen(e)).map((e) => ({ e, parts: parts(e) }));
  const faults = new Set();

  for (const { e, parts } of texts) {
    const rows = new Set(parts.map((r) => Math.round(r.top))).size;
    if (/^\d{1,2}:\d\d$/.test(e.textContent.trim()) && rows > 1) faults.add(`time in two: ${name(e)}`);
    if (rolls(e)) continue;
    const box = e.closest(BOXES)?.getBoundingClientRect();
    const beyond = box ? Math.max(...parts.map((r) => Math.max(r.right - box.right, box.left - r.left))) : 0;
    if (beyond > 2) faults.add(`out of its box by ${Math.round(beyond)} px: ${name(e)}`);
    if (parts.some((r) => r.right > document.documentElement.clientWidth + 1)) faults.add(`off the screen: ${name(e)}`);
    const cut = e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 4;
    if (getComputedStyle(e).overflow !== 'visible' && cut) faults.add(`cut: ${name(e)}`);
  }

  const flat = texts.filter(({ e }) => !rolls(e) && !floats(e)).flatMap(({ e, parts }) => parts.map((r) => ({ e, r })));
  flat.sort((a, b) => a.r.top - b.r.top);
  flat.forEach((a, at) => {
    for (const b of flat.slice(at + 1)) {
      if (b.r.top > a.r.bottom - 2) break;
      if (a.e.contains(b.e) || b.e.contains(a.e)) continue;
      const wide = Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left);
      const high = Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top);
      if (wide > 3 && high > 3) faults.add(`on top of each other: ${name(a.e)} and ${name(b.e)}`);
    }
  });
  return [...faults];
}
