// Wheel and fingers. The wheel zooms only while the plot has the focus or with
// Ctrl held, so that a page scrolls past a plot; one finger moves sideways, two
// zoom, up and down always scroll the page.

import { moved, scaled, Span } from "./points";

export interface Zoomable {
  shown: () => Span;
  zoom: (s: Span) => void;
  timeAt: (clientX: number) => number;
  plotWidth: () => number;
}

export function wheel(host: HTMLElement, z: Zoomable): void {
  host.addEventListener(
    "wheel",
    (e) => {
      if (!e.ctrlKey && document.activeElement !== host) return;
      e.preventDefault();
      if (Math.abs(e.deltaX) > Math.abs(e.deltaY)) {
        z.zoom(moved(z.shown(), e.deltaX / z.plotWidth()));
      } else {
        z.zoom(scaled(z.shown(), Math.exp(Math.max(-1, Math.min(1, e.deltaY / 250))), z.timeAt(e.clientX)));
      }
    },
    { passive: false },
  );
}

// Two taps in the same place show the whole; a finger that slid or had company
// did not tap.
export function touch(host: HTMLElement, z: Zoomable, whole: () => void): void {
  const fingers = new Map<number, number>(); // clientX by pointer
  let tap = { x: 0, at: 0, clean: false };
  let lastTap = -Infinity;
  const down = (e: PointerEvent) => {
    if (e.pointerType !== "touch") return;
    tap = { x: e.clientX, at: e.timeStamp, clean: fingers.size === 0 };
    fingers.set(e.pointerId, e.clientX);
  };
  const move = (e: PointerEvent) => {
    const before = fingers.get(e.pointerId);
    if (before === undefined) return;
    const was = spread(fingers);
    fingers.set(e.pointerId, e.clientX);
    if (Math.abs(e.clientX - tap.x) > 8) tap.clean = false;
    if (fingers.size === 1) {
      z.zoom(moved(z.shown(), (before - e.clientX) / z.plotWidth()));
    } else if (fingers.size === 2) {
      const is = spread(fingers);
      z.zoom(scaled(z.shown(), was.apart / is.apart, z.timeAt(is.centre)));
    }
  };
  const up = (e: PointerEvent) => {
    if (!fingers.delete(e.pointerId) || fingers.size > 0 || !tap.clean || e.timeStamp - tap.at > 300) return;
    if (e.timeStamp - lastTap < 400) whole();
    lastTap = e.timeStamp;
  };
  host.addEventListener("pointerdown", down);
  host.addEventListener("pointermove", move);
  host.addEventListener("pointerup", up);
  host.addEventListener("pointercancel", (e) => fingers.delete(e.pointerId));
}

// spread is how far two fingers are apart, never so little that a tremor would
// be a zoom, and where their middle is.
function spread(fingers: Map<number, number>): { apart: number; centre: number } {
  const [a = 0, b = 0] = fingers.values();
  return { apart: Math.max(12, Math.abs(a - b)), centre: (a + b) / 2 };
}
