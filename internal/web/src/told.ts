// The tab in words, a line a bar, in step with the music.

import type { Tab } from "./forms";
import { lastBefore } from "./when";

/** How far below the top of a list of its own the bar that sounds is kept, in pixels. */
const above = 40;

/** Marks the line of the bar that sounds at a time; lines are of the tune's bars, in order. */
export function inStep(lines: HTMLElement[], tab: Tab): (at: number) => void {
  let now: HTMLElement | null = null;
  return (at) => {
    const bar = lastBefore(tab.timing.bars, at);
    const line = (bar && lines[bar.bar]) ?? null;
    if (line === now) return;
    now?.removeAttribute("aria-current");
    line?.setAttribute("aria-current", "true");
    now = line;
    // A list that scrolls by itself, where it is open; the page stays where it is.
    const list = line?.parentElement;
    if (line && list && list.closest("details")?.open !== false) list.scrollTop = line.offsetTop - list.offsetTop - above;
  };
}
