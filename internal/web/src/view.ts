// How this device's player looks at the neck: left-handed, string 1 at the
// bottom. The choice is the device's, not the lesson's.

import { h } from "./dom";
import type { View } from "./geometry";
import { kept, keep } from "./kept";

/** The choice that holds now. */
export function view(): View {
  return { left: kept("left") === "yes", flipped: kept("flipped") === "yes" };
}

/** The two choices; changed is told when one is made. */
export function viewChoices(changed: () => void): HTMLElement[] {
  const tick = (name: keyof View, words: string): HTMLElement => {
    const box = h("input", {
      type: "checkbox",
      onchange: () => {
        keep(name, box.checked ? "yes" : "");
        changed();
      },
    });
    box.checked = view()[name];
    return h("label", { class: "pair" }, box, h("span", {}, words));
  };
  return [tick("left", "Left-handed neck"), tick("flipped", "String 1 at the bottom")];
}
