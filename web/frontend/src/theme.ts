// Runs before the first paint, so that a chosen theme does not flash.
//
// The style sheets know day and dark by the system's wish only. A choice here
// turns the condition of those rules, so that the colours have one home.

import { chosen, Theme } from "./choice";

const darkRule = "(prefers-color-scheme: dark)";
const rules: { rule: CSSMediaRule; system: string }[] = [];

function collect(list: CSSRuleList): void {
  for (const rule of list) {
    if (rule instanceof CSSMediaRule) {
      if (rule.media.mediaText.includes("prefers-color-scheme")) rules.push({ rule, system: rule.media.mediaText });
      collect(rule.cssRules);
    }
  }
}

function apply(theme: Theme): void {
  for (const { rule, system } of rules) {
    const on = system.replace(darkRule, "(min-width: 0)");
    rule.media.mediaText = theme === "system" ? system : theme === "dark" ? on : "not all";
  }
  const meta = document.querySelector<HTMLMetaElement>('meta[name="color-scheme"]');
  if (meta) meta.content = theme === "system" ? "light dark" : theme;
  document.documentElement.dataset.theme = theme;
}

for (const sheet of document.styleSheets) collect(sheet.cssRules);
apply(chosen());
document.addEventListener("fw:theme", () => apply(chosen()));
