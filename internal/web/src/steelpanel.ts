// On a tune's page: where the steel is while somebody plays, marked on the neck against where the tab has it.

import { h, need } from "./dom";
import type { CarriedTab, Now } from "./forms";
import { capture, siteCore } from "./program";
import { sayWhyNot } from "./recorder";
import { complain } from "./site";
import { SteelNow } from "./steelnow";
import { tunedChoice } from "./tuner";

export class SteelPanel {
  private readonly steel: SteelNow;
  private readonly tuned = tunedChoice();
  /** The tab that is shown, as the core takes it; null until it has come. */
  private text: CarriedTab | null = null;
  private turns = 0;

  /** bring fetches the shown tab; due gives the stroke that is to sound, below zero for none. */
  constructor(
    private readonly bring: () => Promise<CarriedTab>,
    due: () => number,
    marked: (n: Now | null) => void,
  ) {
    this.steel = new SteelNow(siteCore(), {
      capture: capture(),
      of: () => {
        const stroke = due();
        return this.text && { rig: this.text.rig, tab: this.text.tab, tuned: this.tuned.value, ...(stroke < 0 ? {} : { stroke }) };
      },
      before: () => this.fetch(),
      failed: complain,
      heard: marked,
    });
    this.tuned.id = "tuned";
    need("#steel-do").append(h("label", { class: "wish", for: "tuned" }, h("span", {}, "Open strings are tuned"), this.tuned), h("p", { class: "own-do" }, this.steel.button));
    // The panel may be far from the neck.
    this.steel.element.append(h("button", { type: "button", class: "plain", onclick: () => void this.steel.toggle() }, "Stop listening"));
    sayWhyNot(this.steel.button);
  }

  /** What is heard last, in words and as a mark, to stand below the neck. */
  get element(): HTMLElement {
    return this.steel.element;
  }

  /** Another tab is shown. */
  async turn(): Promise<void> {
    this.turns++;
    this.text = null;
    if (this.steel.on) await this.fetch();
  }

  private async fetch(): Promise<void> {
    if (this.text) return;
    const turn = this.turns;
    const text = await this.bring();
    if (turn === this.turns) this.text = text; // else another is shown by now
  }
}
