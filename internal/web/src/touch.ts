// Touching the sheet: a tap starts there, a drag from one bar to another loops
// them, and while a loop is on, two taps set its first and its last bar.

import type { Tab } from "./forms";

interface Wishes {
  start: (at: number) => void;
  /** Bars of the performance. */
  loop: (first: number, last: number) => void;
  looping: () => [number, number] | null;
}

/** How far a finger may tremble in a tap, in pixels. */
const tremble = 10;

export function touch(part: HTMLElement, tab: Tab, wishes: Wishes): void {
  let from: { x: number; y: number; stroke: number } | null = null;
  /** The first bar of a loop that is being tapped. */
  let first = -1;
  for (const svg of part.querySelectorAll<SVGSVGElement>(".paper svg")) {
    svg.addEventListener("pointerdown", (e) => {
      const stroke = nearest(svg, e.clientX, e.clientY);
      from = e.button === 0 && stroke >= 0 ? { x: e.clientX, y: e.clientY, stroke } : null;
    });
    svg.addEventListener("pointercancel", () => (from = null));
    svg.addEventListener("pointerup", (e) => {
      const began = from;
      from = null;
      const stroke = nearest(svg, e.clientX, e.clientY);
      if (!began || stroke < 0) return;
      const [a, b] = [pass(tab, began.stroke), pass(tab, stroke)];
      const dragged = Math.hypot(e.clientX - began.x, e.clientY - began.y) > tremble;
      if (dragged) {
        if (a >= 0 && b >= 0) wishes.loop(Math.min(a, b), Math.max(a, b));
        first = -1;
        return;
      }
      const loop = wishes.looping();
      if (loop && b >= 0 && (first >= 0 || b < loop[0] || b > loop[1])) {
        wishes.loop(first < 0 ? b : Math.min(first, b), first < 0 ? b : Math.max(first, b));
        first = first < 0 ? b : -1;
      }
      const time = tab.timing.strokes.find((s) => s.stroke === stroke);
      if (time) wishes.start(time.at);
    });
  }
}

/** The first time that a stroke's bar sounds, as an index into the performance. */
function pass(tab: Tab, stroke: number): number {
  return tab.timing.strokes.find((s) => s.stroke === stroke)?.pass ?? -1;
}

/** The stroke whose column is nearest to a place, below 0 when there is none. */
function nearest(svg: SVGSVGElement, x: number, y: number): number {
  let best = -1;
  let least = Infinity;
  for (const g of svg.querySelectorAll<SVGGElement>("g[data-stroke]")) {
    const r = g.getBoundingClientRect();
    const dx = Math.abs(x - (r.left + r.width / 2));
    const dy = y < r.top ? r.top - y : y > r.bottom ? y - r.bottom : 0;
    // A line of music is chosen before a place in it.
    const far = dx + 4 * dy;
    if (far < least) [best, least] = [Number(g.dataset["stroke"]), far];
  }
  return best;
}
