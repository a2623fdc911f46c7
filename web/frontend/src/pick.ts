// An overlay: the row of the table or the name in the key that is pointed at, or
// that has the focus, picks its line out of the picture. The names beside the
// lines say the same without this, and a name in the key that is pressed.

export function picks(picture: HTMLElement, rows: HTMLElement[]): void {
  const show = (of: string | undefined) => {
    picture.classList.toggle("picking", of !== undefined);
    for (const mark of picture.querySelectorAll<SVGElement>("[data-of]")) mark.classList.toggle("picked", mark.dataset.of === of);
    for (const row of rows) row.classList.toggle("picked", of !== undefined && row.dataset.picks === of);
  };
  const focused = () => rows.find((r) => r.contains(document.activeElement))?.dataset.picks;
  for (const row of rows) {
    row.addEventListener("pointerenter", () => show(row.dataset.picks));
    row.addEventListener("pointerleave", () => show(focused()));
    row.addEventListener("focusin", () => show(row.dataset.picks));
    row.addEventListener("focusout", () => requestAnimationFrame(() => show(focused())));
  }
}
