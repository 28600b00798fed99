// The calibration grid: Enter goes down the column; a reading outside the tolerance is marked as it is typed.
const KG_A_LB = 0.45359237;

for (const form of document.querySelectorAll('[data-grid]')) {
  const columns = [1, 2].map((n) => [...form.querySelectorAll(`[data-column="${n}"]`)]);
  const order = columns.flat();
  const figure = (input) => Number(input.value.replace(',', '.'));
  const unit = () => form.elements.unit.value;

  const judge = (input) => {
    const set = figure(form.elements[`reference_${input.dataset.column}`]);
    const off = figure(input) - set;
    const allowed = Number(form.dataset.toleranceLb) * (unit() === 'kg' ? KG_A_LB : 1);
    const outside = input.value && set && Math.abs(off) > allowed + 1e-9;
    input.closest('td').classList.toggle('wrong', Boolean(outside));
    input.nextElementSibling.textContent = outside ? `outside: ${off > 0 ? '+' : ''}${off.toFixed(unit() === 'kg' ? 2 : 1)} ${unit()}` : '';
  };
  const judgeAll = () => order.forEach(judge);

  form.addEventListener('input', judgeAll);
  form.addEventListener('change', judgeAll);
  form.addEventListener('keydown', (event) => {
    const at = order.indexOf(event.target);
    if (event.key !== 'Enter' || at < 0) return;
    const next = order[at + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
    next.select();
  });
  judgeAll();
}
