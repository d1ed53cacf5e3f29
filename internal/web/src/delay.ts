// How much later this device hears what it sounds: measured once by a few clicks, and kept on the device.

import { soundContext } from "./along";
import { clickAt } from "./clicktone";
import type { Core } from "./core";
import { h } from "./dom";
import type { MeasuredDelay } from "./forms";
import { keep, kept } from "./kept";
import { Recorder } from "./recorder";
import { joined } from "./wave";

const keptAs = "delay";
/** When the clicks are sounded, in seconds after the first could be: at uneven distances, so that none is taken for the next. */
export const clickTimes = [0.3, 0.75, 1.3, 1.7, 2.25, 2.7, 3.25, 3.6];
/** How long it is listened on after the last: the longest delay that is looked for, and its click. */
const afterSeconds = 0.7;
/** A device that wakes up to record may lose what comes first. */
const settleMs = 400;

/** The delay of this device in seconds, as it was measured; null when it was not. */
export function keptDelay(): number | null {
  const seconds = Number.parseFloat(kept(keptAs));
  return Number.isFinite(seconds) && Math.abs(seconds) <= 0.5 ? seconds : null;
}

/** What is said of the delay that is kept. */
export function delayText(seconds: number | null): string {
  if (seconds === null) return "This device's delay is not measured: while you play along, only how your notes differ is told.";
  return `This device hears itself ${Math.round(1000 * seconds)} ms late, and that is taken off. Measure again with another loudspeaker, headphones or microphone.`;
}

export class DelayMeasure {
  readonly element: HTMLElement;
  private readonly button: HTMLButtonElement;
  private readonly said: HTMLElement;

  /** before is done before it sounds and listens. */
  constructor(
    private readonly core: Core,
    private readonly capture: string,
    private readonly before: () => void | Promise<void>,
  ) {
    this.button = h("button", { type: "button", class: "measure-delay", onclick: () => void this.measure() }, "Measure the delay");
    this.said = h("p", { class: "small soft", role: "status" }, delayText(keptDelay()));
    this.element = h("div", { class: "own-delay" },
      h("p", { class: "small soft" }, "Eight clicks are sounded through the loudspeaker while the microphone listens. Start quietly and turn up slowly: loud sound harms hearing. With headphones, hold one to the microphone and not to your ear."),
      h("p", { class: "own-do" }, this.button), this.said);
  }

  set disabled(on: boolean) {
    this.button.disabled = on;
  }

  private async measure(): Promise<void> {
    if (this.button.getAttribute("aria-disabled") === "true") return;
    this.button.setAttribute("aria-disabled", "true");
    try {
      await this.before();
      this.said.textContent = "Clicking and listening…";
      const m = await this.listen();
      if (!m.refused) keep(keptAs, String(m.seconds));
      this.said.textContent = m.refused || delayText(keptDelay());
    } catch (e) {
      this.said.textContent = e instanceof Error ? e.message : String(e);
    } finally {
      this.button.removeAttribute("aria-disabled");
    }
  }

  /** Sounds the clicks and asks how much later they are heard. */
  private async listen(): Promise<MeasuredDelay> {
    const context = soundContext(); // as the player's is, so that its delay is the same
    try {
      const { blocks, beside, rate } = await this.click(context);
      return await this.core.ask<MeasuredDelay>({ what: "delay" }, joined([...blocks, ...beside]), rate);
    } finally {
      void context.close();
    }
  }

  /** Sounds them, and gives what was heard and what stands beside it. */
  private async click(context: AudioContext): ReturnType<Recorder["end"]> {
    const recorder = await Recorder.begin(this.capture, () => undefined, undefined, context);
    if (!recorder.beside) {
      await recorder.end();
      throw new Error("This browser can't listen while it sounds: the delay can't be measured here.");
    }
    await wait(settleMs);
    const start = context.currentTime + 0.05;
    const into = context.createGain();
    into.connect(context.destination);
    into.connect(recorder.beside);
    for (const t of clickTimes) clickAt(context, into, start + t, true, 1);
    await wait(1000 * (clickTimes.at(-1)! + afterSeconds));
    return recorder.end();
  }
}

/** What a page says and offers of playing along, folded away; how is what else it offers there. */
export function playAlongBox(delay: DelayMeasure, ...how: HTMLElement[]): HTMLElement {
  return h("details", { class: "play-along" }, h("summary", {}, "To play along with the music or its clicks"),
    h("p", { class: "small soft" }, "Wear headphones, so that the microphone hears the instrument alone. Late and early are then told against the music and not against your own tempo."),
    ...how, delay.element);
}

function wait(ms: number): Promise<void> {
  return new Promise((go) => window.setTimeout(go, ms));
}
