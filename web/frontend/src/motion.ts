// A fall from the side, played: a mark runs along the way of each climber and the
// rope from the top runner follows it. The still picture says the same; this is
// for seeing how fast it goes. It plays by itself once where motion is not
// unwelcome, and can be paused or led by hand at any time.

const perSecond = 60; // places on a way
const pace = 0.5; // of the fall's own speed
const ns = "http://www.w3.org/2000/svg";

interface Way {
  points: [number, number][];
  dot: SVGElement;
  rope: SVGElement;
}

function numbers(d: string): [number, number][] {
  const all = (d.match(/-?[\d.]+/g) ?? []).map(Number);
  const points: [number, number][] = [];
  for (let i = 0; i + 1 < all.length; i += 2) points.push([all[i]!, all[i + 1]!]);
  return points;
}

// ways are those drawn in one picture, each with a mark and a rope of its own.
function ways(svg: SVGSVGElement): Way[] {
  const still = svg.querySelector<SVGPathElement>("path[opacity]");
  const runner = still ? numbers(still.getAttribute("d") ?? "")[0] : undefined;
  return [...svg.querySelectorAll<SVGPathElement>("path[data-of]")].map((path) => {
    const points = numbers(path.getAttribute("d") ?? "");
    const rope = document.createElementNS(ns, "line");
    const dot = document.createElementNS(ns, "circle");
    for (const e of [rope, dot]) e.setAttribute("class", path.getAttribute("class") ?? "");
    rope.setAttribute("stroke", "currentColor");
    rope.setAttribute("stroke-width", "2");
    if (runner) {
      rope.setAttribute("x1", String(runner[0]));
      rope.setAttribute("y1", String(runner[1]));
    }
    dot.setAttribute("r", "8");
    dot.setAttribute("fill", "currentColor");
    for (const e of [rope, dot]) {
      e.setAttribute("visibility", "hidden");
      svg.append(e);
    }
    return { points, dot, rope };
  });
}

class FallMotion extends HTMLElement {
  connectedCallback(): void {
    const all = [...this.querySelectorAll("svg")].flatMap(ways);
    const controls = this.querySelector<HTMLElement>(".play");
    const button = this.querySelector<HTMLButtonElement>("[data-play]");
    const range = this.querySelector<HTMLInputElement>("input[type=range]");
    const output = this.querySelector("output");
    const last = Math.max(0, ...all.map((w) => w.points.length - 1));
    if (!controls || !button || !range || !output || last < 1) return;
    controls.hidden = false;
    range.max = String(last);
    let at = 0;
    let running = false;
    let before = 0;

    const show = () => {
      for (const w of all) {
        const i = Math.min(at, w.points.length - 1);
        const a = w.points[Math.floor(i)]!;
        const b = w.points[Math.ceil(i)]!;
        const part = i - Math.floor(i);
        const x = String(a[0] + (b[0] - a[0]) * part);
        const y = String(a[1] + (b[1] - a[1]) * part);
        w.dot.setAttribute("cx", x);
        w.dot.setAttribute("cy", y);
        w.rope.setAttribute("x2", x);
        w.rope.setAttribute("y2", y);
        for (const e of [w.dot, w.rope]) e.setAttribute("visibility", "visible");
      }
      range.value = String(Math.round(at));
      output.textContent = `${(at / perSecond).toFixed(2)}\u202fs`;
      range.setAttribute("aria-valuetext", `${(at / perSecond).toFixed(2)} seconds`);
    };
    const stop = () => {
      running = false;
      button.textContent = at >= last ? "Play again" : "Play";
    };
    const step = (now: number) => {
      if (!running) return;
      at = Math.min(last, at + (Math.max(0, now - before) / 1000) * perSecond * pace); // a frame may be older than the press of the button
      before = now;
      show();
      if (at >= last) stop();
      else requestAnimationFrame(step);
    };
    const play = () => {
      if (at >= last) at = 0;
      running = true;
      before = performance.now();
      button.textContent = "Pause";
      requestAnimationFrame(step);
    };
    button.addEventListener("click", () => (running ? stop() : play()));
    range.addEventListener("input", () => {
      at = Number(range.value);
      stop();
      show();
    });
    if (matchMedia("(prefers-reduced-motion: reduce)").matches) return;
    const seen = new IntersectionObserver((entries) => {
      if (!entries.some((e) => e.isIntersecting)) return;
      seen.disconnect();
      play();
    }, { threshold: 0.5 });
    seen.observe(this);
  }
}

export function motions(): void {
  customElements.define("fall-motion", FallMotion);
}
