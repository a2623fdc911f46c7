// What a reader chose on this machine. A browser that keeps nothing is served
// with the defaults.

export type Theme = "system" | "light" | "dark";

function read(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // nothing is kept: the choice lasts for this page
  }
}

export function chosen(): Theme {
  const t = read("fallwright-theme");
  return t === "light" || t === "dark" ? t : "system";
}

export function choose(theme: Theme): void {
  keep("fallwright-theme", theme);
  document.dispatchEvent(new Event("fw:theme"));
}

export function keysOn(): boolean {
  return read("fallwright-keys") !== "off";
}

export function setKeysOn(on: boolean): void {
  keep("fallwright-keys", on ? "on" : "off");
}
