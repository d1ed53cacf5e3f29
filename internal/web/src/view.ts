// How this device's player looks at the neck and the sheet: left-handed, string 1
// at the bottom. The choice is the device's; until one is made the sheets are as
// their teacher has them.

import { h } from "./dom";
import type { View } from "./geometry";
import { kept, keep } from "./kept";

const usual: View = { left: false, flipped: false };

/** Says how the teacher's sheets are. */
export function usually(teachers: View): void {
  Object.assign(usual, teachers);
}

/** The choice that holds now. */
export function view(): View {
  const chosen = (name: keyof View): boolean => (kept(name) ? kept(name) === "yes" : usual[name]);
  return { left: chosen("left"), flipped: chosen("flipped") };
}

/** The two choices; changed is told when one is made. */
export function viewChoices(changed: () => void): HTMLElement[] {
  const tick = (name: keyof View, words: string): HTMLElement => {
    const box = h("input", {
      type: "checkbox",
      onchange: () => {
        keep(name, box.checked === usual[name] ? "" : box.checked ? "yes" : "no");
        changed();
      },
    });
    box.checked = view()[name];
    return h("label", { class: "pair" }, box, h("span", {}, words));
  };
  return [tick("left", "Left-handed neck"), tick("flipped", "String 1 at the bottom")];
}
