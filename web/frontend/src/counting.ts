// Numbers that take seconds: the server works them out while this listens, and the
// page comes again when they are there. Without script a link waits for them.

export async function counting(box: HTMLElement): Promise<void> {
  const bar = box.querySelector("progress");
  const words = box.querySelector<HTMLElement>("[aria-live]");
  const link = box.querySelector<HTMLElement>("[data-without]");
  const shown = box.querySelector<HTMLElement>("[data-with]");
  if (!box.dataset.counts || !bar || !words || !link || !shown) return;
  link.hidden = true;
  shown.hidden = false;
  const again = () => {
    link.hidden = false;
    shown.hidden = true;
  };
  try {
    const answer = await fetch(box.dataset.counts);
    if (!answer.ok || !answer.body) return again();
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return again();
      text += value;
      const lines = text.split("\n");
      text = lines.pop() ?? "";
      const last = lines.at(-1);
      if (last === "ready") return location.reload();
      if (last === "refused") return again();
      if (last === undefined) continue;
      bar.value = Number(last);
      const tenth = `${Math.floor(Number(last) / 100) * 10} %`;
      if (words.textContent !== tenth) words.textContent = tenth;
    }
  } catch {
    again(); // the page is being left, or the server has gone
  }
}
