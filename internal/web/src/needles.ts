// A needle for each string of an instrument: how it stood when it was heard last.

import { h, need } from "./dom";
import type { Open } from "./forms";

/** How many cents the needle's end is away. */
const reachCents = 50;
/** From where on a string is heard as out of tune. */
const heardCents = 5;

/** Needles for strings, in the order in which they are listed. */
export function needles(strings: { number: number; name: string }[]): HTMLElement {
  return h("ul", { class: "needles", "aria-label": "How the strings stand" }, ...strings.map((s) =>
    h("li", { "data-string": s.number }, h("span", {}, `${s.number} `, h("strong", {}, s.name)), h("span", { class: "needle", "aria-hidden": "true" }, h("span", {})), h("span", { class: "stands tabular" }, "not heard yet"))));
}

/** How a number of cents stands, and the place of a needle in per cent of its way. */
export function stand(cents: number): { stands: "tune" | "sharp" | "flat"; at: number } {
  const c = Math.round(cents);
  return { stands: Math.abs(c) <= heardCents ? "tune" : c > 0 ? "sharp" : "flat", at: 50 + (50 * Math.max(-reachCents, Math.min(reachCents, c))) / reachCents };
}

/** Shows how strings stand; those that were not heard stay as they were. */
export function show(list: HTMLElement, strings: Open["strings"]): void {
  for (const s of strings) {
    const row = list.querySelector<HTMLElement>(`[data-string="${s.string}"]`);
    if (!row || s.cents === null || s.cents === undefined) continue;
    const { stands, at } = stand(s.cents);
    const c = Math.abs(Math.round(s.cents));
    row.dataset["stands"] = stands;
    need<HTMLElement>(".needle span", row).style.left = `${at}%`;
    const words = stands === "tune" ? "\u25CF in tune" : stands === "sharp" ? `\u25B2 ${c} cents sharp: let it down` : `\u25BC ${c} cents flat: raise it`;
    need<HTMLElement>(".stands", row).textContent = words;
  }
}
