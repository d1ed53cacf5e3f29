// What to tune to: each string's tone, in the way of tuning that is chosen.

import { need } from "./dom";
import { hear } from "./hear";
import { complain } from "./site";
import { tuner } from "./tuner";

export function pegsPage(page: HTMLElement): void {
  tuner(page);
  for (const button of document.querySelectorAll<HTMLButtonElement>("button[data-tone]")) {
    button.addEventListener("click", () => {
      // The table's figures and not what has been typed since.
      const query = new URLSearchParams(window.location.search);
      query.set("string", button.dataset["tone"] ?? "");
      query.set("way", need<HTMLSelectElement>("#way").value);
      hear(`${window.location.pathname.replace(/pegs$/, "tone")}?${query}`, "This tone could not be sounded.").catch(complain);
    });
  }
}
