// Plays one recording in step with its written music: from anywhere, in a loop,
// slower, with a count-in and clicks. Positions are seconds at the tune's own
// speed whatever the rate is.

import type { ClickTime, Tab } from "./forms";
import { stretch } from "./stretch";

/** How far ahead clicks are handed to the audio clock, and how often. */
const aheadSeconds = 0.25;
const lookMs = 60;

export interface Settings {
  rate: number;
  loop: [number, number] | null;
  countIn: boolean;
  lead: number;
  click: number;
}

export class Player {
  readonly settings: Settings = { rate: 1, loop: null, countIn: false, lead: 1, click: 0 };
  onState: () => void = () => {};

  private context: AudioContext | null = null;
  private lead: GainNode | null = null;
  private clicks: GainNode | null = null;
  private recording: AudioBuffer | null = null;
  private stretched = new Map<number, AudioBuffer>();
  private source: AudioBufferSourceNode | null = null;
  private timer = 0;
  private rest = 0; // position while not playing
  private began = 0; // audio clock when `from` sounds
  private from = 0;
  private clickedTo = 0; // audio clock up to which clicks are scheduled
  private pendingClicks: OscillatorNode[] = [];

  constructor(private tab: Tab) {}

  get playing(): boolean {
    return this.source !== null;
  }

  get ready(): boolean {
    return this.recording !== null;
  }

  /** Changes to another tab of the same tune and keeps the place. */
  async use(tab: Tab, sound: ArrayBuffer): Promise<void> {
    const again = this.playing;
    const at = this.position();
    this.stop();
    this.tab = tab;
    this.recording = await this.audio().decodeAudioData(sound);
    this.stretched.clear();
    this.rest = Math.min(at, tab.timing.total);
    if (again) this.play();
    this.onState();
  }

  /** The place in the music now, in seconds; below zero during a count-in. */
  position(): number {
    if (!this.context || !this.source) return this.rest;
    const passed = (this.context.currentTime - (this.context.outputLatency || 0) - this.began) * this.settings.rate;
    if (passed < 0) return this.from + passed;
    let at = this.from + passed;
    const loop = this.settings.loop;
    if (loop && at > loop[1]) at = loop[0] + ((at - loop[0]) % (loop[1] - loop[0]));
    return Math.min(at, this.tab.timing.total);
  }

  play(): void {
    if (!this.recording || this.playing) return;
    const context = this.audio();
    void context.resume();
    const { rate, loop, countIn } = this.settings;
    let from = this.rest >= this.tab.timing.total - 0.05 ? 0 : this.rest;
    if (loop && (from < loop[0] || from >= loop[1])) from = loop[0];
    const buffer = this.at(rate);
    const source = context.createBufferSource();
    source.buffer = buffer;
    source.connect(this.lead!);
    if (loop) {
      source.loop = true;
      source.loopStart = loop[0] / rate;
      source.loopEnd = Math.min(loop[1] / rate, buffer.duration);
    }
    const begin = context.currentTime + 0.02;
    this.from = from;
    this.began = begin;
    if (countIn) this.began += this.countIn(begin, from);
    this.clickedTo = this.began;
    source.onended = () => {
      if (this.source === source) {
        this.stop();
        this.rest = 0;
        this.onState();
      }
    };
    source.start(this.began, from / rate);
    this.source = source;
    this.timer = window.setInterval(() => this.scheduleClicks(), lookMs);
    this.scheduleClicks();
    this.onState();
  }

  pause(): void {
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.onState();
  }

  toggle(): void {
    if (this.playing) this.pause();
    else this.play();
  }

  seek(at: number): void {
    const again = this.playing;
    this.stop();
    this.rest = Math.max(0, Math.min(at, this.tab.timing.total));
    if (again) this.play();
    this.onState();
  }

  /** Changes settings; the sound goes on from where it is. */
  set(change: Partial<Settings>): void {
    const again = this.playing;
    const at = Math.max(0, this.position());
    const restart = change.rate !== undefined || change.loop !== undefined;
    if (again && restart) this.stop();
    Object.assign(this.settings, change);
    if (this.lead && change.lead !== undefined) this.lead.gain.value = change.lead;
    if (this.clicks && change.click !== undefined) this.clicks.gain.value = change.click;
    if (restart) {
      this.rest = at;
      if (again) this.play();
    }
    this.onState();
  }

  private audio(): AudioContext {
    if (!this.context) {
      this.context = new AudioContext({ latencyHint: "interactive" });
      this.lead = this.context.createGain();
      this.lead.gain.value = this.settings.lead;
      this.lead.connect(this.context.destination);
      this.clicks = this.context.createGain();
      this.clicks.gain.value = this.settings.click;
      this.clicks.connect(this.context.destination);
    }
    return this.context;
  }

  private stop(): void {
    window.clearInterval(this.timer);
    for (const c of this.pendingClicks) c.stop();
    this.pendingClicks = [];
    const source = this.source;
    this.source = null;
    if (source) {
      source.onended = null;
      source.stop();
    }
  }

  private at(rate: number): AudioBuffer {
    const whole = this.recording!;
    if (rate === 1) return whole;
    let slow = this.stretched.get(rate);
    if (!slow) {
      const channels = Array.from({ length: whole.numberOfChannels }, (_, c) => whole.getChannelData(c));
      const out = stretch(channels, whole.sampleRate, rate);
      slow = this.audio().createBuffer(out.length, out[0]!.length, whole.sampleRate);
      out.forEach((c, i) => slow!.copyToChannel(Float32Array.from(c), i));
      this.stretched.set(rate, slow);
    }
    return slow;
  }

  /** Clicks one bar before `from`; gives how long that takes. */
  private countIn(begin: number, from: number): number {
    const bars = this.tab.timing.bars;
    const here = [...bars].reverse().find((b) => b.at <= from + 1e-6) ?? bars[0];
    if (!here) return 0;
    // A pickup is short: count the first full bar instead.
    const length = (b: { at: number; end: number }): number => b.end - b.at;
    const full = bars.find((b) => length(b) > length(here) * 1.01) ?? here;
    const beats = this.tab.timing.clicks.filter((c) => c.at >= full.at - 1e-6 && c.at < full.end - 1e-6);
    for (const b of beats) this.tick(begin + (b.at - full.at) / this.settings.rate, b.first, 0.5);
    return length(full) / this.settings.rate;
  }

  private scheduleClicks(): void {
    const context = this.context;
    if (!context || !this.source) return;
    const until = context.currentTime + aheadSeconds;
    const { rate, loop } = this.settings;
    while (this.clickedTo < until) {
      // The stretch of music that the audio clock covers next, cut at the loop.
      let at = this.from + (this.clickedTo - this.began) * rate;
      if (loop && at >= loop[1]) at = loop[0] + ((at - loop[0]) % (loop[1] - loop[0]));
      const wall = loop ? loop[1] : this.tab.timing.total;
      const to = Math.min(at + (until - this.clickedTo) * rate, wall);
      for (const c of this.within(at, to)) this.tick(this.clickedTo + (c.at - at) / rate, c.first, 1);
      const step = (to - at) / rate;
      this.clickedTo += Math.max(step, 1e-3);
      if (!loop && to >= this.tab.timing.total) break;
    }
  }

  private within(from: number, to: number): ClickTime[] {
    return this.tab.timing.clicks.filter((c) => c.at >= from - 1e-6 && c.at < to - 1e-6);
  }

  private tick(when: number, strong: boolean, level: number): void {
    const context = this.audio();
    const tone = context.createOscillator();
    const gain = context.createGain();
    tone.frequency.value = strong ? 1568 : 1175;
    gain.gain.setValueAtTime(0, when);
    gain.gain.linearRampToValueAtTime(0.4 * level, when + 0.002);
    gain.gain.exponentialRampToValueAtTime(0.001, when + 0.05);
    tone.connect(gain);
    // A count-in sounds even when the clicks are silent.
    gain.connect(level < 1 ? context.destination : this.clicks!);
    tone.start(when);
    tone.stop(when + 0.06);
    this.pendingClicks.push(tone);
    tone.onended = () => {
      this.pendingClicks = this.pendingClicks.filter((p) => p !== tone);
    };
  }
}
