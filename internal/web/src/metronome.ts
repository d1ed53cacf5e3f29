// A metronome and a drone without a tune, for practice of one's own.

import { Beats, strong } from "./beats";
import { clickAt } from "./clicktone";
import { h } from "./dom";
import { Drone } from "./drone";
import { keep, kept } from "./kept";

const slowest = 30;
const fastest = 240;
const keptAs = "metronome";
/** Clicks are handed to the audio clock so far ahead, and so often. */
const aheadSeconds = 0.2;
const everyMs = 50;
/** The tones that a drone can be on, in semitones over C. */
const tones = ["C", "C♯", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B"];
/** A drone's tonic lies from this key number on: C3. */
const lowestTonic = 48;

interface Chosen {
  tempo: number;
  inBar: number;
  /** Semitones over C. */
  tone: number;
  fifth: boolean;
}

/** The tones of a drone in hertz, the tonic first, when A4 is 440 Hz. */
export function droneTones(tone: number, fifth: boolean): number[] {
  const hz = (key: number): number => 440 * 2 ** ((key - 69) / 12);
  const tonic = lowestTonic + tone;
  return fifth ? [hz(tonic), hz(tonic) * 1.5] : [hz(tonic)];
}

/** The tempo of taps, given when they came, in seconds; 0 when they are too few or too slow. */
export function tapped(at: readonly number[]): number {
  const last = at.slice(-5);
  if (last.length < 2) return 0;
  const perMinute = (60 * (last.length - 1)) / (last.at(-1)! - last[0]!);
  return perMinute >= slowest && perMinute <= fastest ? Math.round(perMinute) : 0;
}

export class Metronome {
  readonly element: HTMLElement;
  private context: AudioContext | null = null;
  private drone: Drone | null = null;
  private beats: Beats | null = null;
  private next = 0;
  private timer = 0;
  private droning = false;
  private taps: number[] = [];
  private readonly chosen: Chosen = { tempo: 80, inBar: 4, tone: 7, fifth: true };
  private readonly start: HTMLButtonElement;
  private readonly hold: HTMLButtonElement;
  private readonly tempo: HTMLInputElement;
  private readonly lamp: HTMLElement;

  constructor() {
    try {
      const was = JSON.parse(kept(keptAs) || "{}") as Partial<Chosen>;
      if (was.tempo! >= slowest && was.tempo! <= fastest) this.chosen.tempo = was.tempo!;
      if (was.inBar! >= 0 && was.inBar! <= 12) this.chosen.inBar = was.inBar!;
      if (tones[was.tone!]) this.chosen.tone = was.tone!;
      this.chosen.fifth = was.fifth ?? true;
    } catch {
      // What can't be read is forgotten.
    }
    this.start = h("button", { type: "button", class: "main", "aria-pressed": "false", onclick: () => this.toggle() }, "Start the clicks");
    this.hold = h("button", { type: "button", "aria-pressed": "false", onclick: () => this.toggleDrone() }, "Hold the drone");
    this.tempo = h("input", { type: "number", min: slowest, max: fastest, step: 1, value: this.chosen.tempo, onchange: () => this.setTempo(Number(this.tempo.value)) });
    const inBar = h("select", { onchange: () => this.change({ inBar: Number(inBar.value) }) }, ...[0, 2, 3, 4, 5, 6, 7, 9, 12].map((n) => h("option", { value: n }, n === 0 ? "no first beat" : `${n} beats`)));
    inBar.value = String(this.chosen.inBar);
    const tone = h("select", { onchange: () => this.change({ tone: Number(tone.value) }) }, ...tones.map((t, i) => h("option", { value: i }, t)));
    tone.value = String(this.chosen.tone);
    const fifth = h("input", { type: "checkbox", onchange: () => this.change({ fifth: fifth.checked }) });
    fifth.checked = this.chosen.fifth;
    this.lamp = h("span", { class: "lamp", "aria-hidden": "true" });
    this.element = h("details", { class: "own metronome" }, h("summary", {}, "Metronome and drone"),
      h("div", { class: "own-ways" },
        h("label", {}, "Beats a minute ", this.tempo),
        h("label", {}, "In a bar ", inBar),
        h("button", { type: "button", onclick: () => this.tap() }, "Tap the tempo"), this.start, this.lamp),
      h("div", { class: "own-ways" }, h("label", {}, "Drone on ", tone), h("label", { class: "pair" }, fifth, h("span", {}, "with its fifth")), this.hold));
  }

  private audio(): AudioContext {
    const context = (this.context ??= new AudioContext());
    void context.resume();
    return context;
  }

  private toggle(): void {
    if (this.beats) {
      window.clearInterval(this.timer);
      this.beats = null;
      this.lamp.classList.remove("lit");
    } else {
      const context = this.audio();
      this.beats = new Beats({ number: 0, at: context.currentTime + 0.1 }, this.chosen.tempo);
      this.next = 0;
      this.timer = window.setInterval(() => this.click(), everyMs);
    }
    this.start.textContent = this.beats ? "Stop the clicks" : "Start the clicks";
    this.start.setAttribute("aria-pressed", String(this.beats !== null));
  }

  private click(): void {
    const context = this.audio();
    for (const b of this.beats!.before(this.next, context.currentTime + aheadSeconds)) {
      this.next = b.number + 1;
      if (b.at < context.currentTime) continue; // a page that slept makes up for nothing
      clickAt(context, context.destination, b.at, strong(b.number, this.chosen.inBar), 1);
      window.setTimeout(() => this.lamp.classList.toggle("lit", this.beats !== null && b.number % 2 === 0), 1000 * (b.at - context.currentTime));
    }
  }

  private tap(): void {
    const now = performance.now() / 1000;
    if (now - (this.taps.at(-1) ?? 0) > 60 / slowest) this.taps = [];
    this.taps.push(now);
    const tempo = tapped(this.taps);
    if (tempo) this.setTempo(tempo);
  }

  private setTempo(perMinute: number): void {
    const tempo = Math.round(Math.max(slowest, Math.min(fastest, perMinute || this.chosen.tempo)));
    this.tempo.value = String(tempo);
    if (this.beats) this.beats = this.beats.turned(this.next, tempo);
    this.change({ tempo });
  }

  private toggleDrone(): void {
    this.droning = !this.droning;
    this.hold.textContent = this.droning ? "End the drone" : "Hold the drone";
    this.hold.setAttribute("aria-pressed", String(this.droning));
    this.sound();
  }

  private sound(): void {
    const context = this.audio();
    const drone = (this.drone ??= new Drone(context, context.destination));
    drone.set([], 0);
    if (this.droning) drone.set(droneTones(this.chosen.tone, this.chosen.fifth), 1);
  }

  private change(to: Partial<Chosen>): void {
    Object.assign(this.chosen, to);
    keep(keptAs, JSON.stringify(this.chosen));
    if (this.droning && ("tone" in to || "fifth" in to)) this.sound();
  }
}
