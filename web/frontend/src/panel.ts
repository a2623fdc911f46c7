// One panel: a curve over time on a canvas, with the contacts behind it and,
// in the force panel, their peaks before it. Colours are the page's own.

import uPlot from "uplot";
import { Contact, Span } from "./points";

export interface PanelSpec {
  label: string; // "force, kN"
  height: number;
  decimals: number;
  ink: string; // name of a CSS variable
  last: boolean; // carries the words of the time axis
  second: boolean; // has a second curve, dashed
}

export interface Ground {
  shown: () => Span;
  contacts: () => Contact[];
  peaks: boolean;
  selected: (s: Span) => void;
  pointed: (t: number | null) => void;
  timeLabel: string;
}

export function css(name: string): string {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

export function number(v: number, decimals: number): string {
  const s = Math.abs(v).toFixed(decimals);
  return v < 0 && Number(s) !== 0 ? "−" + s : s;
}

const font = () => `13px ${css("--ui")}`;

// ticks writes round values with all the decimals that their step has.
function ticks(_: uPlot, splits: number[]): string[] {
  const step = splits.length > 1 ? Math.abs(splits[1]! - splits[0]!) : 1;
  let decimals = 0;
  while (decimals < 9 && Math.abs(step * 10 ** decimals - Math.round(step * 10 ** decimals)) > 1e-4) decimals++;
  return splits.map((v) => number(v, decimals));
}

export function panel(spec: PanelSpec, ground: Ground, width: number, host: HTMLElement): uPlot {
  const axis = {
    stroke: () => css("--soft"),
    font: font(),
    labelFont: font(),
    grid: { stroke: () => css("--rule"), width: 1 },
    ticks: { stroke: () => css("--rule"), width: 1, size: 4 },
    values: ticks,
  };
  const options: uPlot.Options = {
    width,
    height: spec.height,
    legend: { show: false },
    scales: {
      x: { time: false, range: () => [ground.shown().from, ground.shown().to] },
      y: { range: (_u, low, high) => padded(low, high) },
    },
    axes: [
      spec.last
        ? { ...axis, size: 28, space: 70, label: ground.timeLabel, labelSize: 22 }
        : { ...axis, size: 8, space: 70, values: () => [] },
      { ...axis, size: 48, space: 28, label: spec.label, labelSize: 20 },
    ],
    series: [
      {},
      { stroke: () => css(spec.ink), width: 1.6, spanGaps: spec.second, points: { show: (u) => sparse(u) } },
      ...(spec.second ? [{ stroke: () => css("--ink"), width: 1.4, dash: [5, 4], spanGaps: true, points: { show: false } }] : []),
    ],
    cursor: {
      y: false,
      sync: { key: "trace" },
      drag: { x: true, y: false, setScale: false, dist: 4 },
      bind: { dblclick: () => () => null },
      points: { size: 10, fill: () => css(spec.ink), stroke: () => css("--sheet"), width: 1.5 },
    },
    hooks: {
      drawClear: [(u) => drawContacts(u, ground.contacts())],
      draw: ground.peaks ? [(u) => drawPeaks(u, ground.contacts())] : [],
      setSelect: [(u) => select(u, ground)],
      setCursor: [(u) => ground.pointed(u.cursor.idx == null ? null : (u.data[0][u.cursor.idx] ?? null))],
    },
  };
  return new uPlot(options, spec.second ? [[], [], []] : [[], []], host);
}

function padded(low: number | null, high: number | null): [number, number] {
  if (low == null || high == null || !isFinite(low) || !isFinite(high)) return [0, 1];
  const room = Math.max((high - low) * 0.12, Math.abs(high) * 1e-3, 1e-6);
  return [low - room, high + room];
}

// sparse shows the samples themselves once they lie far apart.
function sparse(u: uPlot): boolean {
  return u.data[0].length > 1 && u.data[0].length < u.bbox.width / devicePixelRatio / 12;
}

function select(u: uPlot, ground: Ground): void {
  const { left, width } = u.select;
  if (width < 4) return;
  const from = u.posToVal(left, "x");
  const to = u.posToVal(left + width, "x");
  u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
  ground.selected({ from, to });
}

function drawContacts(u: uPlot, contacts: Contact[]): void {
  const { left, top, width, height } = u.bbox;
  u.ctx.save();
  u.ctx.fillStyle = css("--sea-soft");
  for (const c of contacts) {
    const a = Math.max(left, u.valToPos(c.start_s, "x", true));
    const b = Math.min(left + width, u.valToPos(c.end_s, "x", true));
    if (b > a) u.ctx.fillRect(a, top, b - a, height);
  }
  u.ctx.restore();
}

// drawPeaks rings each contact's peak and writes its force beside it.
function drawPeaks(u: uPlot, contacts: Contact[]): void {
  const { left, top, width, height } = u.bbox;
  const ratio = devicePixelRatio;
  const ctx = u.ctx;
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top, width, height);
  ctx.clip();
  ctx.strokeStyle = ctx.fillStyle = css("--ink");
  ctx.lineWidth = 1.5 * ratio;
  ctx.font = `600 ${13 * ratio}px ${css("--ui")}`;
  ctx.textBaseline = "bottom";
  ctx.textAlign = "left";
  let written = -Infinity;
  for (const c of contacts) {
    const x = u.valToPos(c.peak_at_s, "x", true);
    const y = u.valToPos(c.peak_N / 1000, "y", true);
    if (x < left || x > left + width) continue;
    ctx.beginPath();
    ctx.arc(x, y, 4.5 * ratio, 0, 2 * Math.PI);
    ctx.stroke();
    const words = number(c.peak_N / 1000, 2) + " kN";
    const room = ctx.measureText(words).width;
    const at = Math.min(Math.max(x - room / 2, left + 2 * ratio), left + width - room - 2 * ratio);
    if (at < written) continue; // bounces close together: the ring is enough
    ctx.fillText(words, at, Math.max(y - 7 * ratio, top + 14 * ratio));
    written = at + room + 4 * ratio;
  }
  ctx.restore();
}
