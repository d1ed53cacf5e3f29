// How the music is practised with, in one place: in turns, where it clicks, how long
// glides take, a loop that gets faster.

import { h } from "./dom";
import { keep, kept } from "./kept";
import type { Player } from "./player";
import type { ClickOn } from "./way";

/** What the device keeps: where it clicks, for all music. */
const keptAs = "click";

const turns: [number, string][] = [[0, "off"], [1, "a bar each"], [2, "2 bars each"], [4, "4 bars each"], [8, "8 bars each"]];
const clickOns: [ClickOn, string][] = [["beats", "every beat"], ["two-and-four", "two and four"], ["subdivided", "beats and between"]];
const clickOuts: [number, string][] = [[0, "never"], [1, "for 1 bar after 1"], [2, "for 2 bars after 2"], [4, "for 4 bars after 4"]];
const glides: [number, string][] = [[1, "as usual"], [1.5, "1½ times as long"], [2, "twice as long"], [3, "3 times as long"], [4, "4 times as long"]];

/** Turns as they are told elsewhere: "2 bars each"; "" for none. */
export function turnsText(n: number): string {
  return n ? (turns.find(([of]) => of === n)?.[1] ?? "") : "";
}

/** Glides as they are told elsewhere: "twice as long"; "" for usual ones. */
export function glidesText(x: number): string {
  return x > 1 ? (glides.find(([of]) => of === x)?.[1] ?? "") : "";
}

export class Practise {
  readonly element: HTMLDetailsElement;
  /** Told when turns or glides have been chosen. */
  onChoice: () => void = () => {};
  private readonly turns: HTMLSelectElement;
  private readonly glides: HTMLSelectElement;
  private readonly needsNotes: HTMLElement;

  /** more stands below the choices. */
  constructor(
    private readonly player: Player,
    more: HTMLElement,
  ) {
    try {
      const was = JSON.parse(kept(keptAs) || "{}") as { on?: ClickOn; out?: number };
      if (clickOns.some(([on]) => on === was.on)) player.settings.clickOn = was.on!;
      if (clickOuts.some(([out]) => out === was.out)) player.settings.clickOut = was.out!;
    } catch {
      // What can't be read is forgotten.
    }
    this.turns = choice(turns, player.settings.turns, (n) => this.setTurns(n));
    this.glides = choice(glides, player.settings.glides, (n) => this.setGlides(n));
    const clicks = (change: Partial<{ clickOn: ClickOn; clickOut: number }>): void => {
      player.set(change);
      keep(keptAs, JSON.stringify({ on: player.settings.clickOn, out: player.settings.clickOut }));
    };
    this.needsNotes = h("label", { class: "pair" }, h("span", {}, "Glides take"), this.glides);
    this.element = h("details", { class: "mixer practise" }, h("summary", {}, "Practise: turns, clicks, glides"),
      h("div", { class: "levels" },
        h("label", { class: "pair" }, h("span", {}, "My turn, your turn"), this.turns),
        h("label", { class: "pair" }, h("span", {}, "It clicks on"), choice(clickOns, player.settings.clickOn, (clickOn) => clicks({ clickOn }))),
        h("label", { class: "pair" }, h("span", {}, "The click drops out"), choice(clickOuts, player.settings.clickOut, (clickOut) => clicks({ clickOut }))),
        this.needsNotes, more));
    this.reach(false);
  }

  /** Glides can be drawn out where music is sounded from its notes. */
  reach(sounded: boolean): void {
    this.needsNotes.hidden = !sounded;
  }

  /** Phrases of so many bars, then the same for the student; a number that is not offered is left out. */
  setTurns(n: number): void {
    if (!turns.some(([of]) => of === n)) return;
    this.turns.value = String(n);
    this.player.set({ turns: n });
    this.onChoice();
  }

  setGlides(x: number): void {
    if (!glides.some(([of]) => of === x)) return;
    this.glides.value = String(x);
    this.player.set({ glides: x });
    this.onChoice();
  }
}

/** A list to choose from. */
function choice<T extends string | number>(of: [T, string][], now: T, change: (to: T) => void): HTMLSelectElement {
  const list = h("select", { onchange: () => change(of[list.selectedIndex]![0]) }, ...of.map(([value, name]) => h("option", { value }, name)));
  list.value = String(now);
  return list;
}
