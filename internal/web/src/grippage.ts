// Hearing grips: each button sounds the grip that it carries.

import { hear } from "./hear";
import { complain } from "./site";

export function gripPage(): void {
  document.addEventListener("click", (e) => {
    const button = e.target instanceof Element ? e.target.closest<HTMLElement>("button[data-hear]") : null;
    if (button) hear(`/grips/sound?grip=${encodeURIComponent(button.dataset["hear"] ?? "")}`, "This grip could not be sounded.").catch(complain);
  });
}
