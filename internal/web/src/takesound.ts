// A take's sound as the page plays it itself: samples that no file holds, which a page
// from disk may not make into one. To what follows it, it is as an audio element.

import { h, icon } from "./dom";

const playShape = "M3.5 1.8v12.4L14 8z";
const pauseShape = "M3 2h3.6v12H3zM9.4 2H13v12H9.4z";

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
  private source: AudioBufferSourceNode | null = null;
  private context: AudioContext | null = null;
  private buffer: AudioBuffer | null = null;
  /** Where it was begun, in the take and on the audio clock. */
  private from = 0;
  private began = 0;

  constructor(
    private readonly samples: Int16Array,
    private readonly rate: number,
  ) {
    super();
    this.seconds = samples.length / rate;
    this.button = h("button", { type: "button", onclick: () => (this.paused ? void this.play() : this.pause()) });
    this.slider = h("input", { type: "range", min: 0, max: this.seconds, step: 0.1, value: 0, "aria-label": "Place in the take, in seconds", oninput: () => (this.currentTime = Number(this.slider.value)) });
    this.clock = h("span", { class: "tabular" });
    this.element = h("div", { class: "take-sound" }, this.button, this.slider, this.clock);
    this.draw();
  }

  get paused(): boolean {
    return this.source === null;
  }

  get currentTime(): number {
    return this.source && this.context ? Math.min(this.seconds, this.from + Math.max(0, this.context.currentTime - this.began)) : this.from;
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
    const context = (this.context ??= new AudioContext());
    void context.resume();
    if (!this.buffer) {
      this.buffer = context.createBuffer(1, Math.max(1, this.samples.length), this.rate);
      this.buffer.copyToChannel(floats(this.samples), 0);
    }
    const source = context.createBufferSource();
    source.buffer = this.buffer;
    source.connect(context.destination);
    source.onended = () => {
      if (this.source !== source) return;
      this.source = null;
      this.from = this.seconds;
      this.draw();
    };
    this.began = context.currentTime;
    source.start(0, this.from);
    this.source = source;
    this.dispatchEvent(new Event("play"));
    const tick = (): void => {
      this.draw();
      if (this.source === source) requestAnimationFrame(tick);
    };
    tick();
  }

  pause(): void {
    this.from = this.currentTime;
    this.stop();
    this.draw();
  }

  private stop(): void {
    const source = this.source;
    this.source = null;
    source?.stop();
  }

  private draw(): void {
    const label = this.paused ? "Play the take" : "Pause";
    if (this.button.textContent !== label) this.button.replaceChildren(icon(this.paused ? playShape : pauseShape), label);
    if (document.activeElement !== this.slider || !this.paused) this.slider.value = String(this.currentTime);
    const text = `${lengthText(this.currentTime)} of ${lengthText(this.seconds)}`;
    if (this.clock.textContent !== text) this.clock.textContent = text;
  }
}

/** Samples of 16 bits between −1 and 1, as a file of them is read. */
export function floats(samples: Int16Array): Float32Array<ArrayBuffer> {
  const out = new Float32Array(samples.length);
  for (let i = 0; i < samples.length; i++) out[i] = samples[i]! / 32768;
  return out;
}

/** "1:05". */
export function lengthText(seconds: number): string {
  const s = Math.floor(seconds);
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`;
}
