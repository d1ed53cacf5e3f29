// Plays one recording in step with its written music: from anywhere, in a loop,
// slower, with a count-in and clicks. Positions are seconds at the tune's own
// speed whatever the rate is. Without a recording the music moves on all the
// same, silently or by clicks alone; where the device gives no sound at all, by
// the page's own clock.

import type { ClickTime, Tab } from "./forms";
import { type Anew, bufferOf, Slower } from "./slower";

/** How far ahead sound is handed to the audio clock, and how often. */
const aheadSeconds = 0.25;
const lookMs = 60;
/** How long a device may take to begin to sound before the music moves without it. */
const deafMs = 800;
/** What a loop that climbs gains each time, and where it stops. */
export const climbStep = 0.05;
const fullSpeed = 1;

export interface Settings {
  rate: number;
  loop: [number, number] | null;
  /** The loop comes round a step faster each time, up to full speed. */
  climb: boolean;
  countIn: boolean;
  lead: number;
  click: number;
}

/** A stretch of music that sounds at one rate from a time of the audio clock on. */
interface Run {
  source: AudioBufferSourceNode | null; // null without a recording
  rate: number;
  began: number; // audio clock when `from` sounds
  from: number;
  loop: [number, number] | null;
}

export class Player {
  readonly settings: Settings = { rate: 1, loop: null, climb: false, countIn: false, lead: 1, click: 0 };
  onState: () => void = () => {};
  /** Music is started by somebody, and not merely goes on. */
  onStart: () => void = () => {};
  /** The device turns out to give no sound, or gives it after all. */
  onSilence: (silent: boolean) => void = () => {};

  private context: AudioContext | null = null;
  private lead: GainNode | null = null;
  private clicks: GainNode | null = null;
  private recording: AudioBuffer | null = null;
  private loaded = false;
  private readonly slower = new Slower();
  private run: Run | null = null;
  private next: Run | null = null; // takes over when its time comes
  private timer = 0;
  private rest = 0; // position while not playing
  private clickedTo = 0; // audio clock up to which clicks are scheduled
  private pendingClicks: OscillatorNode[] = [];
  /** What a change of rate waits for; false when it need not go on to play. */
  private waiting: { rate: number; play: boolean } | null = null;
  private loads = 0;
  /** The device gives no sound: its clock stands still, and the page's own goes. */
  private silent = false;

  constructor(private tab: Tab) {}

  get playing(): boolean {
    return this.run !== null;
  }

  /** Whether music can start: a page without its sound moves too. */
  get ready(): boolean {
    return this.loaded;
  }

  /** Whether another speed is being made. */
  get preparing(): boolean {
    return this.waiting !== null;
  }

  /** Changes to another tab of the same tune and keeps the place; null is no sound. */
  async use(tab: Tab, sound: ArrayBuffer | null): Promise<void> {
    const again = this.playing;
    const at = this.position();
    const load = ++this.loads;
    this.stop();
    this.waiting = null;
    this.tab = tab;
    this.rest = Math.max(0, Math.min(at, tab.timing.total));
    this.recording = null;
    this.loaded = sound === null;
    this.onState();
    try {
      const recording = sound && (await this.audio().decodeAudioData(sound));
      if (load !== this.loads) return;
      this.recording = recording;
    } finally {
      if (load === this.loads) {
        this.loaded = true;
        this.slower.of(this.recording);
        if (this.settings.rate !== 1 && this.recording) this.turn(this.settings.rate, again);
        else if (again) this.begin();
        this.onState();
      }
    }
  }

  /** Where other speeds come from: sounded anew, or null for the recording stretched. */
  set anew(from: Anew | null) {
    this.slower.anew = from;
  }

  /** Brings the sound of the tab that is in use, compressed or as the core gives it; music that moves already goes on. */
  async bring(sound: ArrayBuffer | Float32Array<ArrayBuffer>[]): Promise<void> {
    const load = this.loads;
    const recording = Array.isArray(sound) ? bufferOf(sound, this.audio()) : await this.audio().decodeAudioData(sound);
    if (load !== this.loads) return;
    const again = this.playing;
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.recording = recording;
    this.slower.of(recording);
    if (this.settings.rate !== 1) this.turn(this.settings.rate, again);
    else if (again) this.begin(false);
    this.onState();
  }

  /** The place in the music now, in seconds; below zero during a count-in. */
  position(): number {
    const run = this.run;
    if (!run) return this.rest;
    return this.placeIn(run, this.now());
  }

  play(): void {
    if (!this.loaded || this.playing) return;
    this.onStart();
    if (this.waiting) {
      this.waiting.play = !this.waiting.play;
      this.onState();
      return;
    }
    this.begin();
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
    if (again) {
      this.onStart();
      this.begin();
    }
    this.onState();
  }

  /** Changes settings; the sound goes on from where it is. */
  set(change: Partial<Settings>): void {
    const { rate, ...rest } = change;
    const again = this.playing;
    const at = Math.max(0, this.position());
    const restart = change.loop !== undefined;
    if (again && restart) this.stop();
    Object.assign(this.settings, rest);
    if (this.lead && change.lead !== undefined) this.lead.gain.value = change.lead;
    if (this.clicks && change.click !== undefined) this.clicks.gain.value = change.click;
    if (restart) {
      this.rest = at;
      if (again) this.begin();
    }
    if (rate !== undefined) this.turn(rate, false);
    this.onState();
  }

  /** Goes over to a rate as soon as its sound has been made, beside the page. */
  private turn(rate: number, play: boolean): void {
    this.settings.rate = rate;
    const sound = this.slower.at(rate);
    if (sound !== undefined) {
      this.waiting = null;
      this.change(play);
      return;
    }
    const waiting = { rate, play: play || (this.waiting?.play ?? false) };
    this.waiting = waiting;
    void this.slower.make(rate, this.audio()).then(() => {
      if (this.waiting !== waiting) return;
      this.waiting = null;
      this.change(waiting.play);
      this.onState();
    });
  }

  /** Goes on at the rate that is set, from where it is. */
  private change(play: boolean): void {
    const again = this.playing;
    if (again) {
      const at = Math.max(0, this.position());
      this.stop();
      this.rest = at;
    }
    if (again || play) this.begin(!again);
  }

  private begin(counted = true): void {
    const context = this.audio();
    void context.resume();
    if (!this.silent && context.state !== "running") window.setTimeout(() => this.deaf(context, counted), deafMs);
    const { rate, loop, countIn } = this.settings;
    let from = this.rest >= this.tab.timing.total - 0.05 ? 0 : this.rest;
    if (loop && (from < loop[0] || from >= loop[1])) from = loop[0];
    let begin = this.clock() + 0.02;
    if (countIn && counted) begin += this.countIn(begin, from);
    this.run = this.start(rate, begin, from, loop);
    this.clickedTo = begin;
    this.timer = window.setInterval(() => this.look(), lookMs);
    this.look();
    this.onState();
  }

  private start(rate: number, began: number, from: number, loop: [number, number] | null): Run {
    const run: Run = { source: null, rate, began, from, loop };
    const buffer = this.slower.at(rate);
    if (!this.recording || !buffer || this.silent) return run;
    const source = this.audio().createBufferSource();
    source.buffer = buffer;
    source.connect(this.lead!);
    if (loop) {
      source.loop = true;
      source.loopStart = loop[0] / rate;
      source.loopEnd = Math.min(loop[1] / rate, buffer.duration);
    }
    source.start(began, from / rate);
    run.source = source;
    return run;
  }

  /** The clock that music goes by, in seconds. */
  private clock(): number {
    return this.silent ? performance.now() / 1000 : (this.context?.currentTime ?? 0);
  }

  /** The clock as it is heard. */
  private now(): number {
    return this.clock() - ((!this.silent && this.context?.outputLatency) || 0);
  }

  /** Moves on by the page's own clock when the device has not begun to sound. */
  private deaf(context: AudioContext, counted: boolean): void {
    if (this.playing && !this.silent && context.state !== "running") this.hush(true, counted);
  }

  /** Changes the clock; music that plays goes on from where it is. */
  private hush(silent: boolean, counted: boolean): void {
    const again = this.playing;
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.silent = silent;
    this.onSilence(silent);
    if (again) this.begin(counted);
  }

  private placeIn(run: Run, when: number): number {
    const at = run.from + (when - run.began) * run.rate;
    if (at < run.from) return at;
    const { loop } = run;
    const place = loop && at > loop[1] ? loop[0] + ((at - loop[0]) % (loop[1] - loop[0])) : at;
    return Math.min(place, this.tab.timing.total);
  }

  private audio(): AudioContext {
    if (!this.context) {
      const context = new AudioContext({ latencyHint: "interactive" });
      this.context = context;
      context.onstatechange = () => {
        if (this.silent && context.state === "running") this.hush(false, false);
      };
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
    for (const run of [this.run, this.next]) run?.source?.stop();
    this.run = this.next = null;
  }

  /** Hands over what comes next, ends at the end, and climbs. */
  private look(): void {
    const context = this.context;
    if (!context || !this.run) return;
    if (this.next && this.now() >= this.next.began) {
      this.run = this.next;
      this.next = null;
      this.settings.rate = this.run.rate;
      this.onState();
    }
    if (!this.run.loop && this.now() > this.run.began && this.position() >= this.tab.timing.total) {
      this.stop();
      this.rest = 0;
      this.onState();
      return;
    }
    this.climb(context);
    this.scheduleClicks();
  }

  /** Starts the next round of a loop a step faster, when its sound is there by then. */
  private climb(context: AudioContext): void {
    const run = this.run!;
    if (!this.settings.climb || !run.loop || this.next || this.waiting || run.rate >= fullSpeed - 1e-6) return;
    const rate = Math.min(fullSpeed, Math.round((run.rate + climbStep) * 100) / 100);
    if (this.recording && this.slower.at(rate) === undefined) {
      void this.slower.make(rate, context, true);
      return;
    }
    const now = this.clock();
    const left = (run.loop[1] - Math.max(run.from, this.placeIn(run, now))) / run.rate;
    const end = Math.max(now, run.began) + left;
    if (end - now > aheadSeconds) return;
    run.source?.stop(end);
    this.next = this.start(rate, end, run.loop[0], run.loop);
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
    const until = this.clock() + aheadSeconds;
    while (this.clickedTo < until) {
      // The stretch of music that the audio clock covers next, cut at the loop
      // and where the next run takes over.
      const over = this.next && this.clickedTo < this.next.began - 1e-6 ? this.next.began : Infinity;
      const run = this.next && over === Infinity ? this.next : this.run!;
      const at = this.placeIn(run, this.clickedTo);
      const wall = run.loop ? run.loop[1] : this.tab.timing.total;
      const to = Math.min(at + (Math.min(until, over) - this.clickedTo) * run.rate, wall);
      for (const c of this.within(at, to)) this.tick(this.clickedTo + (c.at - at) / run.rate, c.first, 1);
      this.clickedTo += Math.max((to - at) / run.rate, 1e-3);
      if (!run.loop && to >= this.tab.timing.total) break;
    }
  }

  private within(from: number, to: number): ClickTime[] {
    return this.tab.timing.clicks.filter((c) => c.at >= from - 1e-6 && c.at < to - 1e-6);
  }

  private tick(when: number, strong: boolean, level: number): void {
    if (this.silent) return;
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
