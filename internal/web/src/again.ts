// Where its student was when the page was last open, offered in one line.

import { h } from "./dom";
import type { Tab } from "./forms";
import { glidesText, turnsText } from "./practise";
import { barName } from "./transport";

/** What can be gone back to: of a performance's bars, counted from 0. */
export interface Was {
  bar?: number | undefined;
  /** In per cent. */
  speed?: number | undefined;
  loop?: [number, number] | null | undefined;
  turns?: number | undefined;
  glides?: number | undefined;
}

/** What a student had chosen, as a sentence; "" when nothing is worth going back to. part is the tab that was shown, told by name when named is true. */
export function wasText(was: Was, part: Tab, named: boolean): string {
  const bars = part.timing.bars;
  const name = (i: number): string => barName(part, Math.min(i, bars.length - 1));
  const told = [
    ...(was.bar ? [`at bar ${name(was.bar)}`] : []),
    ...(named ? [`on ${part.title}`] : []),
    ...(was.speed && was.speed !== 100 ? [`at ${was.speed} %`] : []),
    ...(was.loop ? [was.loop[0] === was.loop[1] ? `with bar ${name(was.loop[0])} looped` : `with bars ${name(was.loop[0])} to ${name(was.loop[1])} looped`] : []),
    ...(turnsText(was.turns ?? 0) ? [`in turns, ${turnsText(was.turns ?? 0)}`] : []),
    ...(glidesText(was.glides ?? 1) ? [`with glides ${glidesText(was.glides ?? 1)}`] : []),
  ];
  return told.length ? `Last time you were ${told.join(", ")}.` : "";
}

/** The line; go is told when the student wants to go on there. */
export function goOn(said: string, go: () => void): HTMLElement {
  const line = h("p", { class: "last-time", role: "status" }, h("span", {}, said), " ",
    h("button", { type: "button", onclick: () => { line.remove(); go(); } }, "Go on there"));
  return line;
}
