// A take's sound as the page plays it itself: samples that no file holds, which a page
// from disk may not make into one. To what follows it, it is as an audio element.

import { h, icon } from "./dom";
import { Recorded } from "./recorded";
import { Sounding } from "./sounding";

const playShape = "M3.5 1.8v12.4L14 8z";
const pauseShape = "M3 2h3.6v12H3zM9.4 2H13v12H9.4z";
/** How often more of it is handed to the audio clock. */
const lookMs = 100;

/** What a view of a take follows: an audio element, or a take's samples. */
export interface TakeSound extends EventTarget {
  currentTime: number;
  readonly paused: boolean;
  play(): unknown;
  pause(): void;
}

export class SampleSound extends EventTarget implements TakeSound {
  readonly element: HTMLElement;
  private readonly button: HTMLButtonElement;
  private readonly slider: HTMLInputElement;
  private readonly clock: HTMLElement;
  private readonly seconds: number;
  private sounding: Sounding | null = null;
  private context: AudioContext | null = null;
  private timer = 0;
  private readonly take: Recorded;
  /** Where it was begun, in the take and on the audio clock. */
  private from = 0;
  private began = 0;

  constructor(samples: Int16Array, rate: number) {
    super();
    this.take = Recorded.one(samples, rate);
    this.seconds = samples.length / rate;
    this.button = h("button", { type: "button", onclick: () => (this.paused ? void this.play() : this.pause()) });
    this.slider = h("input", { type: "range", min: 0, max: this.seconds, step: 0.1, value: 0, "aria-label": "Place in the take, in seconds", oninput: () => (this.currentTime = Number(this.slider.value)) });
    this.clock = h("span", { class: "tabular" });
    this.element = h("div", { class: "take-sound" }, this.button, this.slider, this.clock);
    this.draw();
  }

  get paused(): boolean {
    return this.sounding === null;
  }

  get currentTime(): number {
    return this.sounding && this.context ? Math.min(this.seconds, this.from + Math.max(0, this.context.currentTime - this.began)) : this.from;
  }

  set currentTime(to: number) {
    const playing = !this.paused;
    this.stop();
    this.from = Math.max(0, Math.min(this.seconds, to));
    if (playing) void this.play();
    this.draw();
    this.dispatchEvent(new Event("seeked"));
  }

  play(): void {
    if (!this.paused) return;
    if (this.from >= this.seconds) this.from = 0;
    // At its own rate its pieces join without being resampled each for itself.
    const context = (this.context ??= new AudioContext({ sampleRate: this.take.sampleRate }));
    void context.resume();
    this.began = context.currentTime;
    const sounding = new Sounding(context, context.destination, this.began, false);
    sounding.onLate = (seconds) => (this.began += seconds);
    const pieces = this.take.plain(this.from, null);
    sounding.made(pieces, pieces.first, 0);
    this.sounding = sounding;
    this.timer = window.setInterval(() => this.look(), lookMs);
    this.dispatchEvent(new Event("play"));
    const tick = (): void => {
      this.draw();
      if (this.sounding === sounding) requestAnimationFrame(tick);
    };
    tick();
  }

  pause(): void {
    this.from = this.currentTime;
    this.stop();
    this.draw();
  }

  /** Nobody plays it any more. */
  end(): void {
    this.pause();
    this.take.end();
  }

  /** Hands over what comes next, and ends at the end. */
  private look(): void {
    this.sounding?.feed();
    if (this.currentTime < this.seconds) return;
    this.stop();
    this.from = this.seconds;
    this.draw();
  }

  private stop(): void {
    window.clearInterval(this.timer);
    this.sounding?.stop(0, false);
    this.sounding = null;
  }

  private draw(): void {
    const label = this.paused ? "Play the take" : "Pause";
    if (this.button.textContent !== label) this.button.replaceChildren(icon(this.paused ? playShape : pauseShape), label);
    if (document.activeElement !== this.slider || !this.paused) this.slider.value = String(this.currentTime);
    const text = `${lengthText(this.currentTime)} of ${lengthText(this.seconds)}`;
    if (this.clock.textContent !== text) this.clock.textContent = text;
  }
}

/** "1:05". */
export function lengthText(seconds: number): string {
  const s = Math.floor(seconds);
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
}
