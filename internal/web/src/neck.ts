// The neck seen from above, string 1 on top as in tablature, with the steel where
// it lies now and leaning as it leans.

import { NeckGeometry } from "./geometry";
import { pretty } from "./names";
import type { Now, Tab, SteelTime } from "./forms";
import { stand } from "./needles";
import { view } from "./view";
import { above, ahead, between, lastBefore } from "./when";

const svgNS = "http://www.w3.org/2000/svg";
const wideBox = 1000;
const narrowBox = 360;
/** The height of the row of benders below the neck, and the width of one. */
const benderRow = 32;
/** From the last string to the feet of the frets' numbers: clear of the steel's end. */
const numberRow = 31;
const benderKey = 34;
/** From string to string, and from the first to the last at the most, so that many strings leave room for the sheet. */
const wideGap = 22;
const wideSpread = 130;
/** From string to string where there is little room. */
const narrowGap = 15;

/** How far the mark of what is heard reaches over its string. */
const heardReach = 14;

/** Where the controls take their slim form, as in player.css. */
export const littleRoom = "(max-width: 40rem), (max-height: 34rem)";

type Attributes = Record<string, string | number>;

function draw(parent: Element, name: string, attributes: Attributes, text = ""): SVGElement {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, String(v));
  if (text) e.textContent = text;
  parent.append(e);
  return e;
}

export class NeckPicture {
  readonly element: SVGSVGElement;
  onTouch: ((string: number, fret: number) => void) | null = null;

  private readonly geometry: NeckGeometry;
  private readonly steel: SVGElement;
  private readonly next: SVGElement;
  private readonly dots: SVGElement[] = [];
  /** Where the tab has the steel that is heard, and where that is. */
  private readonly heardAt: SVGElement;
  private readonly due: SVGElement;
  private readonly heard: SVGElement;
  private readonly benders = new Map<string, SVGElement>();

  /** A neck of at least so many frets, when the instrument has them; a narrow screen has room for 12. */
  constructor(
    private readonly tab: Tab,
    least = 7,
  ) {
    const narrow = window.matchMedia(littleRoom).matches;
    const frets = Math.max(Math.min(least, tab.neck.frets, narrow ? 12 : least), Math.min(tab.neck.frets, this.highest() + 2));
    const g = new NeckGeometry(tab.neck.open.length, frets, narrow ? narrowBox : wideBox, narrow ? narrowGap : Math.min(wideGap, wideSpread / Math.max(1, tab.neck.open.length - 1)), view());
    this.geometry = g;
    this.element = document.createElementNS(svgNS, "svg");
    const svg = this.element;
    const benders = tab.neck.benders ?? [];
    const height = g.height + (benders.length ? benderRow : 0);
    svg.setAttribute("viewBox", `0 0 ${g.width} ${height}`);
    svg.setAttribute("class", narrow ? "live-neck small-neck" : "live-neck");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", `The neck of ${tab.title}`);
    for (let f = 0; f <= frets; f++) {
      draw(svg, "line", { class: f > 0 ? "fret" : tab.neck.capo ? "nut capo-bar" : "nut", x1: g.x(f), x2: g.x(f), y1: g.top - 6, y2: g.bottom + 6 });
      if (f > 0 && [0, 3, 5, 7, 9].includes(f % 12)) {
        draw(svg, "text", { class: "number", x: g.x(f), y: g.bottom + numberRow }, String(f));
      }
    }
    const [nut, far] = g.ends;
    // Tabs count from the capo, which is therefore the nut of this picture.
    if (tab.neck.capo) draw(svg, "text", { class: "capo number", x: nut, y: g.bottom + numberRow }, `capo ${tab.neck.capo}`);
    tab.neck.open.forEach((name, i) => {
      const y = g.y(i + 1);
      draw(svg, "line", { class: "string", x1: nut, x2: far, y1: y, y2: y, "stroke-width": 1 + i * 0.35 });
      draw(svg, "text", { class: g.away < 0 ? "open before" : "open after", x: nut + 12 * g.away, y: y + 5 }, pretty(name));
    });
    this.next = draw(svg, "line", { class: "next-steel", x1: 0, x2: 0, y1: 0, y2: 0, visibility: "hidden" });
    this.steel = draw(svg, "line", { class: "steel", x1: 0, x2: 0, y1: 0, y2: 0, visibility: "hidden" });
    for (let i = 0; i < g.strings; i++) {
      this.dots.push(draw(svg, "circle", { class: "dot", r: narrow ? 6 : 8, cx: 0, cy: g.y(i + 1), visibility: "hidden" }));
    }
    this.heardAt = draw(svg, "g", { class: "heard-at", visibility: "hidden" });
    this.due = draw(this.heardAt, "circle", { class: "due", r: narrow ? 8 : 11 });
    this.heard = draw(this.heardAt, "line", { class: "heard" });
    benders.forEach((b, i) => {
      const group = draw(svg, "g", { class: "bender", "data-mark": b.mark });
      const x = (g.width * (i + 0.5)) / benders.length;
      const y = g.height + benderRow / 2 - 4;
      draw(group, "rect", { x: x - benderKey / 2, y: y - 12, width: benderKey, height: 24, rx: 4 });
      draw(group, "text", { x, y: y + 6 }, b.mark);
      draw(group, "title", {}, b.name);
      this.benders.set(b.mark, group);
    });
    svg.addEventListener("pointerdown", (e) => this.press(e));
  }

  /** Moves the steel to where it is at a time in seconds. */
  show(at: number): void {
    const { steel, strokes } = this.tab.timing;
    const last = lastBefore(strokes, at);
    const sounding = last && at <= last.end ? this.tab.strokes[last.stroke]! : null;
    this.mark((sounding?.plucks ?? []).map((p) => [p.string, p.fret]), between(steel, at));
    const over = above(steel, at);
    if (over) this.lay(over);
    this.steel.setAttribute("class", over ? "steel lifted" : "steel");
    this.put(this.next, ahead(steel, at));
    const engaged = sounding?.benders ?? [];
    for (const [mark, group] of this.benders) group.setAttribute("class", engaged.includes(mark) ? "bender engaged" : "bender");
  }

  /** Shows strings stopped at frets and how the steel lies on them. */
  mark(stops: [string: number, fret: number][], steel: SteelTime | null): void {
    this.lay(steel);
    this.dots.forEach((dot, i) => {
      const stop = stops.find(([s]) => s === i + 1);
      dot.setAttribute("visibility", stop ? "visible" : "hidden");
      if (!stop) return;
      dot.setAttribute("cx", String(this.geometry.x(stop[1])));
      dot.setAttribute("class", stop[1] === 0 ? "dot open-dot" : "dot");
    });
  }

  /** Marks where the steel is heard; what was heard before stays, faint, while nothing is, and goes with null. */
  hear(n: Now | null): void {
    if (!n) this.heardAt.setAttribute("visibility", "hidden");
    if (!n || n.string === 0 || n.cents === null) {
      this.heardAt.classList.add("past");
      return;
    }
    const [y, due, at] = [this.geometry.y(n.string), this.geometry.x(n.fret), this.geometry.x(n.at)];
    for (const [k, v] of Object.entries({ cx: due, cy: y })) this.due.setAttribute(k, String(v));
    for (const [k, v] of Object.entries({ x1: at, x2: at, y1: y - heardReach, y2: y + heardReach })) this.heard.setAttribute(k, String(v));
    this.heardAt.setAttribute("visibility", "visible");
    this.heardAt.setAttribute("data-stands", stand(n.cents).stands);
    this.heardAt.classList.remove("past");
  }

  private lay(p: SteelTime | null): void {
    this.put(this.steel, p);
  }

  private put(steel: SVGElement, p: SteelTime | null): void {
    const line = this.geometry.steel(p);
    steel.setAttribute("visibility", line ? "visible" : "hidden");
    if (line) for (const [k, v] of Object.entries(line)) steel.setAttribute(k, String(v));
  }

  private highest(): number {
    return Math.ceil(Math.max(0, ...this.tab.timing.steel.map((s) => Math.max(s.firstFret, s.lastFret))));
  }

  /** The string and fret under a pointer, or null beside the strings. */
  private place(e: PointerEvent): [string: number, fret: number] | null {
    const box = this.element.getBoundingClientRect();
    const { width, height } = this.element.viewBox.baseVal;
    // A picture that is given less height than it wants stands in the middle.
    const scale = Math.min(box.width / width, box.height / height);
    const left = box.left + (box.width - width * scale) / 2;
    const top = box.top + (box.height - height * scale) / 2;
    return this.geometry.at((e.clientX - left) / scale, (e.clientY - top) / scale);
  }

  /** A press shows a ghost that can be dragged; letting go asks for its place. */
  private press(e: PointerEvent): void {
    const at = this.place(e);
    if (!this.onTouch || !at) return;
    e.preventDefault();
    this.element.setPointerCapture(e.pointerId);
    const ghost = draw(this.element, "circle", { class: "ghost", r: 9, cx: this.geometry.x(at[1]), cy: this.geometry.y(at[0]) });
    const move = (m: PointerEvent): void => {
      const to = this.place(m);
      if (!to) return;
      ghost.setAttribute("cx", String(this.geometry.x(to[1])));
      ghost.setAttribute("cy", String(this.geometry.y(to[0])));
    };
    const end = (u: PointerEvent): void => {
      ghost.remove();
      this.element.removeEventListener("pointermove", move);
      this.element.removeEventListener("pointerup", end);
      this.element.removeEventListener("pointercancel", end);
      const to = this.place(u);
      if (u.type === "pointerup" && to) this.onTouch?.(to[0], to[1]);
    };
    this.element.addEventListener("pointermove", move);
    this.element.addEventListener("pointerup", end);
    this.element.addEventListener("pointercancel", end);
  }
}
