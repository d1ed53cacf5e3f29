// What else could be played at the picked stroke, and what is pinned.

import { h, need } from "./dom";
import { pretty } from "./names";
import type { Choice, Choices as Offered, Pin, Stroke } from "./forms";
import type { Setting } from "./setting";
import { ask } from "./site";
import { pinned } from "./wishes";

/** More pins than these are told by their number. */
const mostListed = 6;

export class Choices {
  private readonly body = need<HTMLElement>("#here-body");
  private offered: Choice[] = [];
  /** By how much an intro makes the bars' numbers higher than those of pins. */
  private before = 0;
  private asking = new AbortController();

  /** path gives the address that answers for a stroke. */
  constructor(
    private readonly setting: Setting,
    private readonly path: (stroke: number) => string,
  ) {}

  /** Lists what else could be played at a stroke. */
  async offer(n: number, stroke: Stroke | undefined): Promise<void> {
    if (!stroke) return;
    this.asking.abort();
    this.asking = new AbortController();
    const signal = this.asking.signal;
    const got = await ask<Offered>(this.path(n), undefined, signal);
    if (signal.aborted) return;
    this.offered = got.choices;
    this.before = got.before ?? 0;
    const sounds = stroke.plucks.map((p) => `${pretty(p.sounds)} on string ${p.string} at fret ${p.fret}`).join(", ") || "nothing";
    const anyPinned = got.choices.some((c) => c.pinned);
    const list = got.choices.map((c) => {
      const chosen = anyPinned ? c.pinned : c.now;
      const much = c.now ? "easiest" : `+${c.extra.toFixed(1)}`;
      return h("li", {}, h("button", { type: "button", "aria-pressed": String(chosen), onclick: () => this.pin(c) }, h("span", {}, c.words), h("span", { class: "tabular soft" }, c.pinned ? `pinned, ${much}` : much)));
    });
    // Who works by keyboard stays where they were in the list.
    const inList = document.activeElement?.closest<HTMLElement>(".choices, .pins")?.classList[0];
    const buttonsOf = (list: string): HTMLButtonElement[] => [...this.body.querySelectorAll<HTMLButtonElement>(`.${list} button`)];
    const held = inList ? buttonsOf(inList).findIndex((b) => b === document.activeElement) : -1;
    this.body.replaceChildren(
      h("p", { role: "status" }, h("strong", {}, `Bar ${got.bar}${got.at === "0" ? "" : `, ${got.at} in`}: `), sounds),
      got.choices.length > 1 ? h("div", {}, h("ul", { class: "choices", "aria-label": "What could be played here, and how much harder the whole then is" }, ...list), h("p", { class: "small soft" }, "+ is how much harder the whole gets, in points.")) : h("p", { class: "small soft" }, "There is no other way to play this."),
      this.pins(),
    );
    if (!inList || held < 0) return;
    const left = buttonsOf(inList).length > 0 ? buttonsOf(inList) : buttonsOf("choices");
    left[Math.min(held, left.length - 1)]?.focus();
  }

  /** Pins what is offered for a string at a fret; tells whether it was offered. */
  take(string: number, fret: number): boolean {
    const c = this.offered.find((o) => o.pin.grip.some(([s, f]) => s === string && f === fret));
    if (c) this.pin(c);
    return c !== undefined;
  }

  private pin(c: Choice): void {
    const free = c.now || c.pinned;
    this.setting.wish({ pins: pinned(this.setting.wishes.pins ?? [], c.pin, free) }, free ? `bar ${this.shown(c.pin)} left free` : `${c.words} pinned in bar ${this.shown(c.pin)}`);
  }

  /** The number that a pin's bar has on the sheet. */
  private shown(p: Pin): number {
    return p.bar + this.before;
  }

  private pins(): HTMLElement {
    const pins = this.setting.wishes.pins ?? [];
    const free = (label: string, left: typeof pins, why: string): HTMLElement => h("button", { type: "button", onclick: () => this.setting.wish({ pins: left }, why) }, label);
    if (pins.length > mostListed) {
      return h("ul", { class: "pins" }, h("li", {}, h("span", {}, `${pins.length} places are pinned`), free("Free them all", [], "all pins freed")));
    }
    return h("ul", { class: "pins" }, ...pins.map((p) =>
      h("li", {}, h("span", {}, `Pinned in bar ${this.shown(p)}: ${p.words}`), free("Free it", pins.filter((q) => q !== p), `bar ${this.shown(p)} left free`))));
  }
}
