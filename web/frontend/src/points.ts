// The points of a window, as the server gives them: the smallest and the
// largest value of every pixel column, so that no peak is lost.

export interface Contact {
  start_s: number;
  end_s: number;
  peak_at_s: number;
  peak_N: number;
}

export interface Points {
  start_s: number; // of the whole trace
  end_s: number;
  step_s: number; // between two samples
  samples: number; // in the window
  time_s: number[];
  force_N: number[];
  speed: { time_s: number[]; speed_mps: number[] } | null;
  stretch: { time_s: number[]; stretch_m: number[] } | null;
  contacts: Contact[];
  second: { time_s: number[]; force_N: number[] } | null; // of another reading
}

// fetchPoints asks for a window, or for the whole without a span; second is the
// filter class of another reading to have beside, or empty.
export async function fetchPoints(
  address: string,
  span: Span | null,
  width: number,
  second: string,
  signal: AbortSignal,
): Promise<Points> {
  const query = new URLSearchParams({ width: String(width) });
  if (span) {
    query.set("from", exact(span.from));
    query.set("to", exact(span.to));
  }
  if (second) query.set("cfc", second);
  return load(`${address}?${query}`, signal);
}

async function load(address: string, signal: AbortSignal): Promise<Points> {
  const answer = await fetch(address, { signal });
  if (!answer.ok) throw new Error(`status ${answer.status}`);
  return (await answer.json()) as Points;
}

export interface Span {
  from: number;
  to: number;
}

// exact writes a time to the nanosecond, as addresses carry it.
export function exact(t: number): string {
  return String(Math.round(t * 1e9) / 1e9);
}

// within keeps a span inside the whole and not shorter than eight samples.
export function within(s: Span, whole: Span, step: number): Span {
  const length = Math.min(Math.max(s.to - s.from, 8 * step), whole.to - whole.from);
  const centre = (s.from + s.to) / 2;
  const from = Math.min(Math.max(centre - length / 2, whole.from), whole.to - length);
  return { from, to: from + length };
}

// scaled zooms by a factor and leaves the time at its place.
export function scaled(s: Span, factor: number, at: number): Span {
  return { from: at - (at - s.from) * factor, to: at + (s.to - at) * factor };
}

export function moved(s: Span, share: number): Span {
  const by = share * (s.to - s.from);
  return { from: s.from + by, to: s.to + by };
}
