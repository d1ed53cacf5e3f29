// The sheets of a tune, on one rig or on two side by side: drawn, followed while
// it sounds, and picked from.

import type { Placed } from "./forms";
import { Cursor } from "./cursor";
import { h } from "./dom";

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
      h("div", { class: "wide-sheet" }, ...a.pages.map(paper)),
      h("div", { class: "narrow-sheet" }, paper(a.narrow)),
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
