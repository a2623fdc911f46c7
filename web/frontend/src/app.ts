import { ticks } from "./tick";
import { picks } from "./pick";
import { motions } from "./motion";
import { counting } from "./counting";
import { choose, chosen, keysOn, setKeysOn, Theme } from "./choice";

// Theme: one button that goes round auto (as the system), day, dark.

const order: Theme[] = ["system", "light", "dark"];
const words: Record<Theme, string> = { system: "auto", light: "day", dark: "dark" };

function themeSwitch(button: HTMLButtonElement): void {
  const show = () => {
    button.textContent = words[chosen()];
    button.setAttribute("aria-label", `Theme: ${words[chosen()]}`);
  };
  show();
  button.addEventListener("click", () => {
    choose(order[(order.indexOf(chosen()) + 1) % order.length]!);
    show();
  });
}

// Keys: single letters, never while somebody writes, and off when they wish.

// The way out has the focus; the attribute for that would ask for it on every
// page, the dialog open or not.
function openKeys(dialog: HTMLDialogElement): void {
  dialog.showModal();
  dialog.querySelector<HTMLButtonElement>("form button")?.focus();
}

function keysDialog(dialog: HTMLDialogElement, opener: HTMLButtonElement): void {
  opener.addEventListener("click", () => openKeys(dialog));
  const box = dialog.querySelector<HTMLInputElement>("[data-keys-on]");
  if (!box) return;
  box.checked = keysOn();
  box.addEventListener("change", () => setKeysOn(box.checked));
}

function writing(e: KeyboardEvent): boolean {
  const t = e.target;
  return t instanceof HTMLElement && (t.isContentEditable || ["INPUT", "SELECT", "TEXTAREA"].includes(t.tagName));
}

function follow(selector: string): boolean {
  const link = document.querySelector<HTMLAnchorElement>(selector);
  if (link?.href) location.assign(link.href);
  return !!link?.href;
}

const pages: Record<string, string> = {
  s: ".brand",
  o: ".whose a",
  t: 'a[data-step="traces"]',
  f: 'a[data-step="findings"]',
  q: 'a[data-step="question"]',
  p: 'a[data-step="plan"]',
  c: 'a[data-step="cut"]',
  r: 'a[data-step="rig"]',
  w: 'a[data-step="wall"]',
};

let going = false;

function onKey(e: KeyboardEvent): void {
  if (e.defaultPrevented || e.ctrlKey || e.metaKey || e.altKey || writing(e) || !keysOn()) return;
  const dialog = document.querySelector<HTMLDialogElement>("dialog.keys");
  if (dialog?.open) return;
  if (going) {
    going = false;
    const page = pages[e.key];
    if (page && follow(page)) e.preventDefault();
    return;
  }
  switch (e.key) {
    case "?":
      if (dialog) openKeys(dialog);
      break;
    case "g":
      going = true;
      window.setTimeout(() => (going = false), 1500);
      break;
    case "n":
      follow('a[rel="next"]');
      break;
    case "p":
      follow('a[rel="prev"]');
      break;
  }
}

// The line of the job lies along the top on a phone: bring the step in use into
// sight.
function showStep(): void {
  const step = document.querySelector<HTMLElement>(".job li.here");
  const strip = document.querySelector<HTMLElement>(".job ol");
  if (step && strip) strip.scrollLeft = step.offsetLeft - (strip.clientWidth - step.offsetWidth) / 2;
}

const chosenForm = document.querySelector<HTMLFormElement>("form.chosen");
if (chosenForm) ticks(chosenForm);
const picture = document.querySelector<HTMLElement>(".picks");
if (picture) picks(picture, [...document.querySelectorAll<HTMLElement>("[data-picks]")]);
const tools = document.querySelector<HTMLElement>(".tools");
const opener = document.querySelector<HTMLButtonElement>("[data-keys]");
const dialog = document.querySelector<HTMLDialogElement>("dialog.keys");
const theme = document.querySelector<HTMLButtonElement>("[data-theme-switch]");
if (tools) tools.hidden = false;
if (theme) themeSwitch(theme);
if (dialog && opener) keysDialog(dialog, opener);
document.addEventListener("keydown", onKey);
showStep();
motions();
for (const box of document.querySelectorAll<HTMLElement>("[data-counts]")) void counting(box);
