// Where the steel is while somebody plays, against where the shown tab has it: each block of what
// the microphone hears is looked at as it comes.

import { type Core, Superseded } from "./core";
import { h } from "./dom";
import type { Now } from "./forms";
import { offText } from "./offtext";
import { Recorder } from "./recorder";
import { floats } from "./takesound";
import { joined } from "./wave";

/** Samples of a block: short, so that it is told soon. */
const block = 512;
/** How much of what is heard last is looked at, in seconds. */
const lookSeconds = 0.1;
/** How many cents the mark's end is away, and from where on a pitch is heard as out of tune. */
const reachCents = 50;
const heardCents = 5;

export class SteelNow {
  readonly element = h("div", { class: "steel-now", "aria-live": "off", hidden: true });
  private readonly line = h("p", { class: "steel-words" });
  private readonly mark = h("span", {});
  private recorder: Recorder | null = null;

  /** of gives the tab that is shown, and how the strings are tuned; failed is told what went wrong. */
  constructor(
    private readonly core: Core,
    private readonly of: () => { rig: string; tab: string; tuned: string } | null,
    private readonly failed: (e: unknown) => void,
  ) {
    this.element.append(this.line, h("div", { class: "steel-track" }, this.mark));
  }

  get on(): boolean {
    return this.recorder !== null;
  }

  async begin(): Promise<void> {
    const recorder: Recorder = await Recorder.begin("", (seconds) => {
      if (this.recorder && seconds > lookSeconds) this.look(this.recorder);
    }, block);
    this.recorder = recorder;
    this.line.textContent = "Play one string at a time.";
    this.element.hidden = false;
  }

  async end(): Promise<void> {
    const ended = this.recorder;
    this.recorder = null;
    this.element.hidden = true;
    await ended?.end();
  }

  /** Has the last that was heard looked at, unless the program is still at something. */
  private look(recorder: Recorder): void {
    const { blocks, rate } = recorder.recent(lookSeconds);
    const of = this.of();
    if (!of || !this.core.idle) return;
    const came = performance.now();
    this.core.ask<Now>({ what: "now", ...of }, floats(joined(blocks)), rate).then((n) => this.draw(n, came), (e: unknown) => {
      if (!(e instanceof Superseded) && this.on) void this.end().then(() => this.failed(e));
    });
  }

  private draw(n: Now, came: number): void {
    if (n.string === 0 || n.cents === null) return;
    const steel = n.steelMM === null || Math.abs(n.cents) < heardCents ? "" : `, the steel ${Math.abs(n.steelMM).toFixed(1)} mm ${n.steelMM < 0 ? "short" : "far"}`;
    this.line.textContent = `String ${n.string}, ${n.fret === 0 ? "open" : `fret ${n.fret}`}: ${offText(n.cents)}${steel}`;
    this.mark.style.left = `${50 + (50 * Math.max(-reachCents, Math.min(reachCents, n.cents))) / reachCents}%`;
    this.element.dataset["stands"] = Math.abs(n.cents) <= heardCents ? "tune" : n.cents > 0 ? "sharp" : "flat";
    requestAnimationFrame(() => (this.element.dataset["took"] = (performance.now() - came).toFixed(1)));
  }
}
