// Marks on the sheet: the stroke that sounds now, and the one that was picked.
// The sheet's groups say at which bar and place in it each stands.

import { padded, union } from "./box";
import { reveal } from "./follow";
import type { Tab } from "./forms";
import { lastBefore } from "./when";

const svgNS = "http://www.w3.org/2000/svg";
/** How far a mark reaches beyond the ink that it marks. */
const padMM = 0.8;

interface Place {
  svg: SVGSVGElement;
  groups: SVGGElement[];
}

export class Cursor {
  /** A stroke stands on the wide sheet and on the narrow one; one is shown. */
  private places = new Map<number, Place[]>();
  private marks = new Map<string, SVGRectElement>();
  private shown = -1;

  /** sheet holds the pages of one tab. */
  constructor(
    private readonly tab: Tab,
    sheet: HTMLElement,
  ) {
    const forms = [...sheet.querySelectorAll<HTMLElement>(".wide-sheet, .narrow-sheet")];
    for (const form of forms) this.find(form);
  }

  /** Takes in what is drawn on one form of the sheet. */
  find(form: HTMLElement): void {
    const strokes = byPlace(form.querySelectorAll<SVGGElement>("g.stroke[data-at]"));
    const notes = byPlace(form.querySelectorAll<SVGGElement>("g.note[data-at]:not([data-grace])"));
    const seen = new Map<string, number>();
    this.tab.strokes.forEach((stroke, n) => {
      // Graces share the place of the note they lead to, and come before it.
      const key = `${stroke.bar} ${stroke.at}`;
      const nth = seen.get(key) ?? 0;
      seen.set(key, nth + 1);
      const here = strokes.get(key)?.[nth];
      const svg = here?.ownerSVGElement;
      if (!here || !svg) return;
      const staff = (notes.get(key) ?? []).filter((g) => g.ownerSVGElement === svg);
      for (const g of [here, ...staff]) g.dataset["stroke"] = String(n);
      this.places.set(n, [...(this.places.get(n) ?? []), { svg, groups: [here, ...staff] }]);
    });
  }

  /** Marks what sounds at a time; follow keeps it in view. */
  show(at: number, follow: boolean): void {
    const now = lastBefore(this.tab.timing.strokes, at);
    const n = now ? now.stroke : -1;
    if (n === this.shown) return;
    this.shown = n;
    this.mark("now-box", n);
    if (follow) this.reveal(n);
  }

  pick(stroke: number): void {
    this.mark("picked-box", stroke);
  }

  /** Brings a stroke's line of music into view. */
  private reveal(stroke: number): void {
    const place = this.place(stroke);
    const box = place && union(place.groups.map((g) => g.getBBox()));
    if (!place || !box) return;
    // From the drawing's own box and its scale: browsers differ in what they
    // measure for a shape that has just been put in.
    const outer = place.svg.getBoundingClientRect();
    const view = place.svg.viewBox.baseVal;
    const scale = outer.height / view.height;
    const top = outer.top + (box.y - view.y) * scale;
    reveal(top, top + box.height * scale);
  }

  /** Where a stroke stands on the sheet that is displayed now. */
  private place(stroke: number): Place | undefined {
    // What is not displayed has no box; measuring when needed also follows a
    // turn of the screen.
    return this.places.get(stroke)?.find((p) => p.svg.getClientRects().length > 0);
  }

  private mark(kind: string, stroke: number): void {
    this.marks.get(kind)?.remove();
    const place = this.place(stroke);
    const box = place && union(place.groups.map((g) => g.getBBox()));
    if (!place || !box) return;
    const rect = document.createElementNS(svgNS, "rect");
    rect.setAttribute("class", kind);
    rect.dataset["of"] = String(stroke);
    for (const [k, v] of Object.entries(padded(box, padMM))) rect.setAttribute(k, String(v));
    rect.setAttribute("rx", String(padMM));
    place.svg.append(rect);
    this.marks.set(kind, rect);
  }
}

function byPlace(groups: NodeListOf<SVGGElement>): Map<string, SVGGElement[]> {
  const out = new Map<string, SVGGElement[]>();
  for (const g of groups) {
    const key = `${g.dataset["bar"]} ${g.dataset["at"]}`;
    const list = out.get(key);
    if (list) list.push(g);
    else out.set(key, [g]);
  }
  return out;
}
