// The list of traces: how many are ticked, and all of those shown at once. The
// form works without this.

const most = 60;

export function ticks(form: HTMLFormElement): void {
  const boxes = [...document.querySelectorAll<HTMLInputElement>(`input[form="${form.id}"]`)];
  const count = form.querySelector<HTMLElement>("[data-count]");
  const all = form.querySelector<HTMLButtonElement>("[data-all]");
  const none = form.querySelector<HTMLButtonElement>("[data-none]");
  const button = form.querySelector<HTMLButtonElement>("button");
  if (!count || !all || !none || !button) return;
  const show = () => {
    const n = boxes.filter((b) => b.checked).length;
    count.textContent = n === 0 ? "Tick the traces to compare." : n > most ? `${n} ticked, ${most} at most` : `${n} ticked`;
    button.disabled = n === 0 || n > most;
    all.hidden = n === boxes.length;
    none.hidden = n === 0;
  };
  for (const b of boxes) b.addEventListener("change", show);
  all.addEventListener("click", () => {
    for (const b of boxes) b.checked = true;
    show();
  });
  form.addEventListener("reset", () => requestAnimationFrame(show));
  show();
}
