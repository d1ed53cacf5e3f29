// The neck seen from above, string 1 on top as in tablature, with the bar where
// it lies now and leaning as it leans.

import type { Part, Steel } from "./part";

const svgNS = "http://www.w3.org/2000/svg";
const wideBox = 1000;
const narrowBox = 560;
const gap = 22;
const top = 20;
const left = 44;

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

  private bar: SVGElement;
  private dots: SVGElement[] = [];
  private frets: number;
  private strings: number;
  private width = window.matchMedia("(max-width: 40rem)").matches ? narrowBox : wideBox;

  /** A neck of at least so many frets, when the instrument has them; a narrow screen has room for 12. */
  constructor(private part: Part, least = 7) {
    this.strings = part.neck.open.length;
    this.frets = Math.max(Math.min(least, part.neck.frets, this.width === narrowBox ? 12 : least), Math.min(part.neck.frets, this.highest() + 2));
    const height = top + gap * (this.strings - 1) + 34;
    this.element = document.createElementNS(svgNS, "svg");
    const svg = this.element;
    svg.setAttribute("viewBox", `0 0 ${this.width} ${height}`);
    svg.setAttribute("class", "live-neck");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", `The neck of ${part.title}, with the bar where it lies now`);
    const bottom = top + gap * (this.strings - 1);
    for (let f = 0; f <= this.frets; f++) {
      draw(svg, "line", { class: f === 0 ? "nut" : "fret", x1: this.x(f), x2: this.x(f), y1: top - 6, y2: bottom + 6 });
      if (f > 0 && [0, 3, 5, 7, 9].includes(f % 12)) {
        draw(svg, "text", { class: "number", x: this.x(f), y: bottom + 26 }, String(f));
      }
    }
    part.neck.open.forEach((name, i) => {
      const y = this.y(i + 1);
      draw(svg, "line", { class: "string", x1: left, x2: this.width, y1: y, y2: y, "stroke-width": 1 + i * 0.35 });
      draw(svg, "text", { class: "open", x: left - 12, y: y + 5 }, pretty(name));
    });
    this.bar = draw(svg, "line", { class: "steel", x1: 0, x2: 0, y1: 0, y2: 0, visibility: "hidden" });
    for (let i = 0; i < this.strings; i++) {
      this.dots.push(draw(svg, "circle", { class: "dot", r: 8, cx: 0, cy: this.y(i + 1), visibility: "hidden" }));
    }
    svg.addEventListener("pointerdown", (e) => this.press(e));
  }

  /** Moves the bar to where it is at a time in seconds. */
  show(at: number): void {
    const { steel, strokes } = this.part.timing;
    this.lay(between(steel, at));
    const sounding = lastBefore(strokes, at);
    const plucks = sounding && at <= sounding.end ? this.part.strokes[sounding.stroke]!.plucks : [];
    this.dots.forEach((dot, i) => {
      const pluck = plucks.find((p) => p.string === i + 1);
      dot.setAttribute("visibility", pluck ? "visible" : "hidden");
      if (!pluck) return;
      dot.setAttribute("cx", String(this.x(pluck.fret)));
      dot.setAttribute("class", pluck.fret === 0 ? "dot open-dot" : "dot");
    });
  }

  /** Shows strings stopped at frets and how the bar lies on them. */
  mark(stops: [number, number][], steel: Steel | null): void {
    this.lay(steel);
    this.dots.forEach((dot, i) => {
      const stop = stops.find(([s]) => s === i + 1);
      dot.setAttribute("visibility", stop ? "visible" : "hidden");
      if (!stop) return;
      dot.setAttribute("cx", String(this.x(stop[1])));
      dot.setAttribute("class", stop[1] === 0 ? "dot open-dot" : "dot");
    });
  }

  private lay(p: Steel | null): void {
    const touching = p !== null && p.first > 0;
    this.bar.setAttribute("visibility", touching ? "visible" : "hidden");
    if (!touching) return;
    const y1 = this.y(p.first);
    const y2 = this.y(p.last);
    const x1 = this.x(p.firstFret);
    const x2 = this.x(p.lastFret);
    // The steel reaches a little past its outer strings, along its own line.
    const lean = y2 > y1 ? (x2 - x1) / (y2 - y1) : 0;
    this.bar.setAttribute("x1", String(x1 - lean * 10));
    this.bar.setAttribute("x2", String(x2 + lean * 10));
    this.bar.setAttribute("y1", String(y1 - 10));
    this.bar.setAttribute("y2", String(y2 + 10));
  }

  private highest(): number {
    return Math.ceil(Math.max(0, ...this.part.timing.steel.map((s) => Math.max(s.firstFret, s.lastFret))));
  }

  /** Frets stand as on the instrument: x = L·(1 − 2^(−n/12)) from the nut. */
  private x(fret: number): number {
    const far = 1 - 2 ** (-(this.frets + 0.6) / 12);
    return left + ((this.width - left) * (1 - 2 ** (-fret / 12))) / far;
  }

  private y(s: number): number {
    return top + gap * (s - 1);
  }

  /** The string and fret under a pointer, or null beside the strings. */
  private place(e: PointerEvent): [number, number] | null {
    const box = this.element.getBoundingClientRect();
    const x = ((e.clientX - box.left) / box.width) * this.width;
    const y = ((e.clientY - box.top) / box.width) * this.width;
    const s = Math.round((y - top) / gap) + 1;
    if (s < 1 || s > this.strings) return null;
    let best = 0;
    for (let f = 1; f <= this.frets; f++) if (Math.abs(this.x(f) - x) < Math.abs(this.x(best) - x)) best = f;
    return [s, best];
  }

  /** A press shows a ghost that can be dragged; letting go asks for its place. */
  private press(e: PointerEvent): void {
    const at = this.place(e);
    if (!this.onTouch || !at) return;
    e.preventDefault();
    this.element.setPointerCapture(e.pointerId);
    const ghost = draw(this.element, "circle", { class: "ghost", r: 9, cx: this.x(at[1]), cy: this.y(at[0]) });
    const move = (m: PointerEvent): void => {
      const to = this.place(m);
      if (!to) return;
      ghost.setAttribute("cx", String(this.x(to[1])));
      ghost.setAttribute("cy", String(this.y(to[0])));
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

/** The steel at a time: it moves from each key to the next, gently. */
function between(keys: Steel[], at: number): Steel | null {
  const a = lastBefore(keys, at) ?? keys[0];
  if (!a) return null;
  const b = keys[keys.indexOf(a) + 1];
  if (!b || at <= a.at || a.first === 0 || b.first === 0) return a;
  const w = smooth(Math.min(1, (at - a.at) / Math.max(1e-6, b.at - a.at)));
  const mix = (p: number, q: number): number => p + (q - p) * w;
  return { ...(w < 0.5 ? a : b), firstFret: mix(a.firstFret, b.firstFret), lastFret: mix(a.lastFret, b.lastFret) };
}

/** The last thing that began by a time; things are in order of their times. */
export function lastBefore<T extends { at: number }>(things: T[], at: number): T | undefined {
  let low = 0;
  let high = things.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (things[middle]!.at <= at + 1e-6) low = middle + 1;
    else high = middle;
  }
  return things[low - 1];
}

function smooth(w: number): number {
  return w * w * (3 - 2 * w);
}

/** "F#4" with typographic accidentals. */
export function pretty(name: string): string {
  return name.replaceAll("##", "𝄪").replaceAll("#", "♯").replace(/(?<=^[A-G])bb/, "𝄫").replace(/(?<=^[A-G])b/, "♭");
}
