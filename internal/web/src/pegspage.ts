// What to tune to: each string's tone, in the way of tuning that is chosen, and how the strings stand to it.

import { need } from "./dom";
import type { Tuner } from "./forms";
import { hear } from "./hear";
import { capture, siteCore } from "./program";
import { complain } from "./site";
import { heardStrings } from "./tuner";

export function pegsPage(): void {
  const way = document.querySelector<HTMLSelectElement>("#way");
  if (!way) return; // what was asked for can't be
  const { rig, ways } = JSON.parse(need("#tuner-of").textContent ?? "") as Tuner;
  const rows = [...document.querySelectorAll<HTMLElement>("#pegs-tones tr")];
  const strings = rows.map((tr) => ({ number: Number(need("th", tr).textContent), name: need("td", tr).textContent ?? "" }));
  need("#tuner").append(...heardStrings(strings.reverse(), { core: siteCore(), capture: capture(), of: () => ({ rig, tuned: ways[way.value]! }), hush: () => undefined }).elements);
  for (const button of document.querySelectorAll<HTMLButtonElement>("button[data-tone]")) {
    button.addEventListener("click", () => {
      // The table's figures and not what has been typed since.
      const query = new URLSearchParams(window.location.search);
      query.set("string", button.dataset["tone"] ?? "");
      query.set("way", way.value);
      hear(`${window.location.pathname.replace(/pegs$/, "tone")}?${query}`, "This tone could not be sounded.").catch(complain);
    });
  }
}
