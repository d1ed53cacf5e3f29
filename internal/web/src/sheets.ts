// The sheets of a tune, on one rig or on two side by side: drawn, followed while
// it sounds, and picked from.

import type { Placed, ScreenSheet } from "./forms";
import { Cursor } from "./cursor";
import { h, need } from "./dom";
import { inputFirst, othersFirst, Turns } from "./turns";

interface Shown {
  section: HTMLElement;
  cursor: Cursor | null;
  drawn: boolean;
}

export class Sheets {
  /** The stroke that is picked; below zero for none. */
  picked = -1;
  private readonly all: Shown[];

  /** pick is told which stroke was picked on which sheet. */
  constructor(private readonly pick: (sheet: number, stroke: number) => void) {
    this.all = [...document.querySelectorAll<HTMLElement>(".shown-tab")].map((section) => ({ section, cursor: null, drawn: false }));
  }

  hide(i: number, hidden: boolean): void {
    this.all[i]!.section.hidden = hidden;
  }

  draw(i: number, a: Placed, headed: boolean): void {
    const it = this.all[i]!;
    it.section.classList.remove("old");
    if (a.blank) {
      Object.assign(it, { cursor: null, drawn: false });
      it.section.replaceChildren(h("p", { class: "soft waiting", role: "status" }, "No notes yet. Touch a string at a fret on the neck above, or write under Text: each touch adds a note."));
      return;
    }
    it.section.replaceChildren(
      ...(headed ? [h("h2", {}, a.about.title)] : []),
      ...sheetsOf(a),
    );
    it.cursor = new Cursor(a.shown, it.section);
    it.drawn = true;
    const last = a.shown.strokes.length - 1;
    it.section.onclick = (e) => {
      const group = e.target instanceof Element ? e.target.closest<SVGGElement>("[data-stroke]") : null;
      if (group) this.choose(i, Number(group.dataset["stroke"]));
    };
    it.section.onkeydown = (e) => {
      if (e.key !== "ArrowLeft" && e.key !== "ArrowRight") return;
      e.preventDefault();
      e.stopPropagation();
      this.choose(i, this.picked < 0 ? 0 : Math.max(0, Math.min(last, this.picked + (e.key === "ArrowLeft" ? -1 : 1))));
    };
    if (i === 0 && this.picked > last) this.picked = last;
    if (i === 0 && this.picked >= 0) it.cursor.pick(this.picked);
  }

  /** Says why there is no new sheet; the one that is there stays. */
  refuse(i: number, reason: string): void {
    const it = this.all[i]!;
    it.section.querySelector(".reason")?.remove();
    const box = h("div", { class: "reason", role: "alert" }, h("p", { class: "alarm" }, reason), it.drawn ? h("p", { class: "small" }, "The sheet below is the last that could be made.") : null);
    it.section.classList.toggle("old", it.drawn);
    if (it.drawn) it.section.prepend(box);
    else it.section.replaceChildren(box);
  }

  /** Marks what sounds at a time; the first sheet is kept in view while it plays. */
  show(at: number, playing: boolean): void {
    this.all.forEach((it, i) => it.cursor?.show(at, playing && i === 0));
  }

  private choose(i: number, stroke: number): void {
    this.picked = stroke;
    this.all.forEach((it, k) => it.cursor?.pick(k === i ? stroke : -1));
    this.pick(i, stroke);
  }
}

/** The program's own drawing, in which every word from a file is escaped. */
export function paper(svg: string): HTMLElement {
  const div = h("div", { class: "paper" });
  div.innerHTML = svg;
  return div;
}

/** Places for a sheet: for a wide window and for a narrow one. */
export function sheetPlaces(wide: readonly HTMLElement[] = [], narrow: readonly HTMLElement[] = []): HTMLElement[] {
  return [h("div", { class: "wide-sheet" }, ...wide), h("div", { class: "narrow-sheet" }, ...narrow)];
}

/** A sheet in its places, drawn at once. */
export function sheetsOf(sheet: ScreenSheet): HTMLElement[] {
  return sheetPlaces(sheet.pages.map(paper), [paper(sheet.narrow)]);
}

/** Sheets that are being drawn; one that is to be printed is drawn to its end at once. */
const drawing = new Set<Iterator<void>>();
if (typeof window !== "undefined") window.addEventListener("beforeprint", () => {
  for (const sheets of drawing) while (!sheets.next().done);
});

/** A kind of window, as a sheet is drawn for it. */
type Kind = "wide" | "narrow";

/** The kind that this window is of. */
export function kindOfWindow(): Kind {
  return window.matchMedia("screen and (max-width: 40rem)").matches ? "narrow" : "wide";
}

/** The kind of window that a part's sheet is still to be drawn for; null when it is there for both. */
export function missingIn(part: HTMLElement): Kind | null {
  const { only } = part.dataset;
  return only === undefined ? null : only === "wide" ? "narrow" : "wide";
}

/** Draws a sheet, for a wide window and a narrow one, in a part of the page that has places for them: the one that is displayed first. One that came for one kind of window is shown in both until the other is added. */
export function drawSheet(part: HTMLElement, sheet: ScreenSheet): Promise<void> {
  const wide: [HTMLElement, string[]] = [need(".wide-sheet", part), sheet.pages];
  const narrow: [HTMLElement, string[]] = [need(".narrow-sheet", part), sheet.narrow ? [sheet.narrow] : []];
  if (wide[1].length === 0 || narrow[1].length === 0) part.dataset["only"] = wide[1].length === 0 ? "narrow" : "wide";
  return drawIn(part, narrow[0].getClientRects().length > 0 ? [narrow, wide] : [wide, narrow], unseenMs);
}

/** Adds a sheet for the kind of window that is missing in a part; gives where it stands, null when it is wanted no more. */
export async function addSheet(part: HTMLElement, sheet: ScreenSheet): Promise<HTMLElement | null> {
  const kind = missingIn(part);
  if (!kind) return null;
  const place = need<HTMLElement>(`.${kind}-sheet`, part);
  await drawIn(place, [[place, kind === "wide" ? sheet.pages : [sheet.narrow]]]);
  if (!place.isConnected) return null;
  delete part.dataset["only"];
  return place;
}

/** Draws sheets as they come from the program in their places in a part of the page, little by little: the page goes on meanwhile. */
export async function drawIn(part: HTMLElement, places: Iterable<[HTMLElement, readonly string[]]>, unseen = 0): Promise<void> {
  const sheets = lines(places, unseen);
  drawing.add(sheets);
  part.setAttribute("aria-busy", "true");
  await othersFirst();
  const turns = new Turns(inputFirst);
  while (!sheets.next().done) await turns.step();
  drawing.delete(sheets);
  part.removeAttribute("aria-busy");
}

/** For how long a sheet that somebody waits for is not seen while it is drawn, in milliseconds: a browser that paints it line by line paints with each what is there already. */
const unseenMs = 1000;

/** Draws sheets, each on its paper, one line of music at a step; none is seen before it is whole or so many milliseconds are over. */
function* lines(places: Iterable<[HTMLElement, readonly string[]]>, unseen: number): Generator<void, void> {
  for (const [place, drawings] of places) {
    for (const drawing of drawings) {
      const [head, ...lines] = drawing.replace(/<\/svg>\s*$/, "").split(/(?=^<g class="system">$)/m);
      const sheet = paper(head!);
      const svg = sheet.querySelector("svg")!;
      svg.style.opacity = "0";
      place.append(sheet);
      const began = performance.now();
      for (const line of lines) {
        if (performance.now() - began >= unseen) svg.style.opacity = "";
        svg.insertAdjacentHTML("beforeend", line);
        svg.getBoundingClientRect(); // lays it out in this step
        yield;
      }
      svg.style.opacity = "";
    }
  }
}
