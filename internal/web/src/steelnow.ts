// Where the steel is while somebody plays, against where the shown tab has it: each block of what
// the microphone hears is looked at as it comes.

import type { Core } from "./core";
import { h } from "./dom";
import type { Now } from "./forms";
import { stand } from "./needles";
import { offText } from "./offtext";
import { Recorder } from "./recorder";

/** Samples of a block: short, so that it is told soon. */
const block = 512;
/** How much of what is heard last is looked at, in seconds. */
const lookSeconds = 0.1;
const label = "Show me where the steel is";

/** What a page has of its own. */
export interface Played {
  /** Where the worklet that records lies; "" where there is none. */
  capture: string;
  /** The tab that is shown and how the strings are tuned, and which stroke is to sound, if any. */
  of: () => { rig: string; tab: string; tuned: string; stroke?: number } | null;
  /** Done before it listens. */
  before: () => void | Promise<void>;
  failed: (e: unknown) => void;
  /** Told what is heard, to be marked on a neck; null when nothing is any more. */
  heard: (n: Now | null) => void;
}

export class SteelNow {
  readonly element = h("div", { class: "steel-now", "aria-live": "off", hidden: true });
  readonly button: HTMLButtonElement;
  private readonly line = h("p", { class: "steel-words" });
  private readonly mark = h("span", {});
  private recorder: Recorder | null = null;
  /** Until when it was looked at, in seconds. */
  private looked = 0;

  constructor(
    private readonly core: Core,
    private readonly page: Played,
  ) {
    this.button = h("button", { type: "button", class: "show-steel", onclick: () => void this.toggle() }, label);
    this.element.append(this.line, h("div", { class: "steel-track" }, this.mark));
  }

  get on(): boolean {
    return this.recorder !== null;
  }

  /** Begins, or ends. */
  async toggle(): Promise<void> {
    // The button keeps the focus, which one that is disabled would lose.
    if (this.button.getAttribute("aria-disabled") === "true") return;
    this.button.setAttribute("aria-disabled", "true");
    try {
      if (this.recorder) await this.end();
      else await this.begin();
    } catch (e) {
      this.page.failed(e);
    } finally {
      this.button.removeAttribute("aria-disabled");
      this.tell();
    }
  }

  private async begin(): Promise<void> {
    await this.page.before();
    this.looked = 0;
    this.recorder = await Recorder.begin(this.page.capture, (seconds) => {
      if (this.recorder) this.look(this.recorder, seconds);
    }, block);
    this.recorder.gone = (why) => this.broken(why);
    this.line.textContent = "Play one string at a time.";
  }

  private async end(): Promise<void> {
    const ended = this.recorder;
    this.recorder = null;
    this.page.heard(null);
    this.tell();
    await ended?.end();
  }

  private tell(): void {
    this.element.hidden = !this.on;
    this.button.textContent = this.on ? "Stop" : label;
  }

  /** Has the last that was heard looked at, unless the program is still at something. */
  private look(recorder: Recorder, seconds: number): void {
    const { blocks, rate } = recorder.recent(lookSeconds);
    const of = this.page.of();
    if (!of || seconds < lookSeconds || seconds - this.looked < block / rate) return;
    this.looked = seconds;
    const came = performance.now();
    this.core.spare<Now>({ what: "now", ...of }, blocks, rate).then((n) => {
      if (n && this.on) this.draw(n, came);
    }, (e: unknown) => this.broken(e));
  }

  private broken(e: unknown): void {
    if (this.on) void this.end().then(() => this.page.failed(e));
  }

  private draw(n: Now, came: number): void {
    this.page.heard(n);
    if (n.string === 0 || n.cents === null) return;
    const { stands, at } = stand(n.cents);
    const steel = n.steelMM === null || stands === "tune" ? "" : `, the steel ${Math.abs(n.steelMM).toFixed(1)} mm ${n.steelMM < 0 ? "short" : "far"}`;
    this.line.textContent = `String ${n.string}, ${n.fret === 0 ? "open" : `fret ${n.fret}`}: ${offText(n.cents)}${steel}`;
    this.mark.style.left = `${at}%`;
    this.element.dataset["stands"] = stands;
    requestAnimationFrame(() => (this.element.dataset["took"] = (performance.now() - came).toFixed(1)));
  }
}
