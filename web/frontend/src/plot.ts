// <trace-plot>: the drawn trace that can be walked through. Until the first
// points are there, and whenever they cannot be had, the server's own picture
// and its zoom links stay.

import uPlot from "uplot";
import { number, panel, PanelSpec } from "./panel";
import { exact, fetchPoints, moved, Points, scaled, Span, within } from "./points";
import { touch, wheel, Zoomable } from "./gesture";

const tools: [name: string, words: string][] = [
  ["whole", "whole"],
  ["contact", "first contact"],
  ["in", "closer"],
  ["out", "wider"],
  ["left", "earlier"],
  ["right", "later"],
];

class TracePlot extends HTMLElement {
  private whole: Span = { from: 0, to: 1 };
  private shown: Span = { from: 0, to: 1 };
  private points!: Points;
  private panels: { u: uPlot; read: (p: Points) => uPlot.AlignedData }[] = [];
  private stage!: HTMLElement;
  private seen!: HTMLElement; // what the window shows
  private reading!: HTMLElement; // what is under the cursor
  private spoken!: HTMLElement;
  private pending = new AbortController();
  private timer = 0;
  private at: number | null = null; // the cursor's time
  private started = false;

  connectedCallback(): void {
    if (this.started) return;
    this.started = true;
    this.start().catch((e) => console.warn("the plot stays as the server drew it:", e));
  }

  private get width(): number {
    return Math.max(280, Math.floor(this.clientWidth));
  }

  private get columns(): number {
    return Math.round(this.width * Math.min(2, devicePixelRatio));
  }

  // second is the filter class of the reading drawn beside; empty for none.
  private get second(): string {
    return this.dataset.second ?? "";
  }

  private async start(): Promise<void> {
    const p = await fetchPoints(this.dataset.points!, null, this.columns, this.second, this.pending.signal);
    this.points = p;
    this.whole = { from: p.start_s, to: p.end_s };
    const asked = { from: Number(this.dataset.from), to: Number(this.dataset.to) };
    this.shown = this.dataset.from ? within(asked, this.whole, p.step_s) : this.whole;
    await document.fonts.ready;
    this.build();
    this.classList.add("live");
    this.draw();
    if (this.shown.to - this.shown.from < this.whole.to - this.whole.from) await this.load();
    new ResizeObserver(() => this.resize()).observe(this);
    document.addEventListener("fw:theme", () => this.paint());
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.paint());
  }

  private build(): void {
    this.stage = document.createElement("div");
    this.stage.className = "stage";
    this.stage.tabIndex = 0;
    this.stage.setAttribute("role", "application");
    this.stage.setAttribute("aria-label", "Force against time: arrow keys move the cursor, plus and minus zoom, zero shows the whole trace");
    this.seen = paragraph("seen num");
    this.reading = paragraph("reading num");
    this.spoken = paragraph("unseen");
    this.spoken.setAttribute("aria-live", "polite");
    this.addPanels();
    this.append(this.toolbar(), this.seen, this.stage, this.reading, this.hint(), this.spoken);
    this.stage.addEventListener("keydown", (e) => this.onKey(e));
    this.stage.addEventListener("dblclick", () => this.zoom(this.whole));
    wheel(this.stage, this.zoomable());
    touch(this.stage, this.zoomable(), () => this.zoom(this.whole));
  }

  private addPanels(): void {
    const ink = this.dataset.ink || "--sea";
    const narrow = this.width < 560;
    const parts: [PanelSpec, (p: Points) => uPlot.AlignedData][] = [
      [
        { label: "force, kN", height: narrow ? 240 : 330, decimals: 2, ink, last: false, second: !!this.second },
        (p) => (this.second ? both(p) : [p.time_s, p.force_N.map((v) => v / 1000)]),
      ],
    ];
    if (this.points.speed) {
      parts.push([
        { label: "speed, m/s", height: 104, decimals: 2, ink, last: false, second: false },
        (p) => [p.speed?.time_s ?? [], p.speed?.speed_mps ?? []],
      ]);
    }
    if (this.points.stretch) {
      parts.push([
        { label: "stretch, m", height: 104, decimals: 3, ink, last: false, second: false },
        (p) => [p.stretch?.time_s ?? [], p.stretch?.stretch_m ?? []],
      ]);
    }
    parts[parts.length - 1]![0].last = true;
    parts[parts.length - 1]![0].height += 42;
    parts.forEach(([spec, read], i) => {
      const host = document.createElement("div");
      host.className = "panel";
      this.stage.append(host);
      const u = panel(
        spec,
        {
          shown: () => this.shown,
          contacts: () => this.points.contacts,
          peaks: i === 0,
          selected: (s) => this.zoom(s),
          pointed: (t) => i === 0 && this.pointed(t),
          timeLabel: "time on the recorder's clock, s",
        },
        this.width,
        host,
      );
      this.panels.push({ u, read });
    });
  }

  private toolbar(): HTMLElement {
    const bar = document.createElement("div");
    bar.className = "zoom";
    bar.setAttribute("role", "group");
    bar.setAttribute("aria-label", "Zoom");
    for (const [name, words] of tools) {
      if (name === "contact" && !this.points.contacts.length) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.dataset.zoom = name;
      button.textContent = words;
      button.addEventListener("click", () => this.step(name));
      bar.append(button);
    }
    return bar;
  }

  private hint(): HTMLElement {
    const p = paragraph("hint soft");
    p.textContent =
      "Drag across a stretch to see it closer; double click for the whole. With the plot in focus: wheel, arrows, +, −, 0. Touch: pinch, and slide sideways.";
    return p;
  }

  private zoomable(): Zoomable {
    const over = () => this.panels[0]!.u.over.getBoundingClientRect();
    return {
      shown: () => this.shown,
      zoom: (s) => this.zoom(s),
      timeAt: (x) => this.panels[0]!.u.posToVal(Math.min(Math.max(x - over().left, 0), over().width), "x"),
      plotWidth: () => over().width,
    };
  }

  private step(name: string): void {
    const centre = this.at ?? (this.shown.from + this.shown.to) / 2;
    const first = this.points.contacts[0];
    const spans: Record<string, Span | undefined> = {
      whole: this.whole,
      in: scaled(this.shown, 0.5, centre),
      out: scaled(this.shown, 2, centre),
      left: moved(this.shown, -0.5),
      right: moved(this.shown, 0.5),
      contact: first && scaled({ from: first.start_s, to: first.end_s }, 1.3, (first.start_s + first.end_s) / 2),
    };
    const span = spans[name];
    if (span) this.zoom(span);
  }

  private onKey(e: KeyboardEvent): void {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const zooms: Record<string, string> = { "+": "in", "=": "in", "-": "out", "−": "out", "0": "whole" };
    const steps: Record<string, number> = { ArrowLeft: -1, ArrowRight: 1, Home: -Infinity, End: Infinity };
    const zoom = zooms[e.key];
    const step = steps[e.key];
    if (zoom) this.step(zoom);
    else if (step !== undefined) this.walk(step * (e.shiftKey ? 25 : 1));
    else return;
    e.preventDefault();
  }

  // walk moves the cursor by so many drawn points and says where it is.
  private walk(by: number): void {
    const times = this.points.time_s;
    const first = times.findIndex((t) => t >= this.shown.from);
    let last = times.length - 1;
    while (last > 0 && times[last]! > this.shown.to) last--;
    if (first < 0 || last < first) return;
    const start = this.at === null ? this.highest().index : nearest(times, this.at);
    const next = Math.min(Math.max(this.at === null && isFinite(by) ? start : start + by, first), last);
    this.put(times[next]!);
    this.spoken.textContent = this.reading.textContent;
  }

  private put(t: number): void {
    const u = this.panels[0]!.u;
    u.setCursor({ left: u.valToPos(t, "x"), top: 10 });
    this.pointed(t);
  }

  // pointed writes the values under the cursor.
  private pointed(t: number | null): void {
    this.at = t;
    this.reading.textContent = "";
    if (t === null) return;
    const force = value(this.points.time_s, this.points.force_N, t);
    if (force === null) return;
    const words = [`${number(t, 4)} s`, `${number(force / 1000, 3)} kN`];
    const second = this.points.second && value(this.points.second.time_s, this.points.second.force_N, t);
    if (second != null) words.push(`${this.dataset.as ?? "second"}: ${number(second / 1000, 3)} kN`);
    const first = this.points.contacts[0];
    if (first) words.splice(1, 0, `${number((t - first.start_s) * 1000, 1)} ms after first contact`);
    const { speed, stretch } = this.points;
    const v = speed && value(speed.time_s, speed.speed_mps, t);
    const x = stretch && value(stretch.time_s, stretch.stretch_m, t);
    if (v != null) words.push(`${number(v, 2)} m/s`);
    if (x != null) words.push(`${number(x, 3)} m`);
    this.reading.textContent = words.join(" · ");
  }

  private highest(): { index: number; force: number } {
    let index = -1;
    this.points.time_s.forEach((t, i) => {
      if (t < this.shown.from || t > this.shown.to) return;
      if (index < 0 || this.points.force_N[i]! > this.points.force_N[index]!) index = i;
    });
    return { index: Math.max(index, 0), force: index < 0 ? NaN : this.points.force_N[index]! };
  }

  // describe says in words what the window shows.
  private describe(): void {
    const { index, force } = this.highest();
    const span = `${number(this.shown.from, 3)} to ${number(this.shown.to, 3)} s`;
    this.seen.textContent = isNaN(force)
      ? `${span}: no sample`
      : `${span}: highest ${number(force / 1000, 2)} kN at ${number(this.points.time_s[index]!, 3)} s`;
  }

  private zoom(to: Span): void {
    this.shown = within(to, this.whole, this.points.step_s);
    this.draw();
    this.soon(80);
  }

  // soon settles once nothing has moved for so many milliseconds.
  private soon(wait: number): void {
    this.setAttribute("aria-busy", "true");
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => {
      this.timer = 0;
      void this.settle();
    }, wait);
  }

  // settle fetches the window once the movement has stopped, and puts it into
  // the address, which the server draws too.
  private async settle(): Promise<void> {
    const all = this.shown.from <= this.whole.from && this.shown.to >= this.whole.to;
    const parts = all ? [] : [`from=${exact(this.shown.from)}`, `to=${exact(this.shown.to)}`];
    if (this.second) parts.push(`cfc=${this.second}`);
    history.replaceState(null, "", this.dataset.path + (parts.length ? "?" + parts.join("&") : ""));
    await this.load().catch((e) => {
      if (!(e instanceof DOMException && e.name === "AbortError")) this.seen.textContent = "the points of this window could not be fetched";
    });
    this.spoken.textContent = this.seen.textContent;
    if (!this.timer) this.removeAttribute("aria-busy");
  }

  private async load(): Promise<void> {
    this.pending.abort();
    this.pending = new AbortController();
    this.points = await fetchPoints(this.dataset.points!, this.shown, this.columns, this.second, this.pending.signal);
    this.draw();
  }

  private draw(): void {
    for (const { u, read } of this.panels) u.setData(read(this.points), true);
    this.describe();
  }

  private paint(): void {
    for (const { u } of this.panels) u.redraw(false, true);
  }

  private resize(): void {
    const width = this.width;
    if (this.panels[0]!.u.width === width) return;
    for (const { u } of this.panels) u.setSize({ width, height: u.height });
    this.soon(200);
  }
}

function paragraph(className: string): HTMLElement {
  const p = document.createElement("p");
  p.className = className;
  return p;
}

// nearest is the index of the time closest to t in increasing times.
function nearest(times: number[], t: number): number {
  let low = 0;
  let high = times.length - 1;
  while (high - low > 1) {
    const mid = (low + high) >> 1;
    if (times[mid]! <= t) low = mid;
    else high = mid;
  }
  return Math.abs((times[high] ?? Infinity) - t) < Math.abs((times[low] ?? Infinity) - t) ? high : low;
}

// both lays two readings' forces on the times of both.
function both(p: Points): uPlot.AlignedData {
  const second = p.second ?? { time_s: [], force_N: [] };
  return uPlot.join([
    [p.time_s, p.force_N.map((v) => v / 1000)],
    [second.time_s, second.force_N.map((v) => v / 1000)],
  ]);
}

// value reads a curve at t; null outside it.
function value(times: number[], values: number[], t: number): number | null {
  if (!times.length || t < times[0]! || t > times[times.length - 1]!) return null;
  return values[nearest(times, t)] ?? null;
}

customElements.define("trace-plot", TracePlot);
