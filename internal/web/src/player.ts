// Plays one recording in step with its written music: from anywhere, in a loop,
// slower, with a count-in and clicks. Positions are seconds at the tune's own
// speed whatever the rate is. Without a recording the music moves on all the
// same, silently or by clicks alone; where the device gives no sound at all, by
// the page's own clock.

import type { ClickTime, Tab } from "./forms";
import type { Source } from "./live";
import { clickAt } from "./clicktone";
import { Drone } from "./drone";
import { type Pieces, Slower } from "./slower";
import { type Piece, Sounding } from "./sounding";

/** How far ahead sound is handed to the audio clock, and how often. */
const aheadSeconds = 0.25;
const lookMs = 60;
/** How soon music goes over to another speed or loop, in seconds: pieces of it are there by then. */
const overSeconds = 0.12;
/** The rate that pieces join at without being resampled each for itself. */
const contextRate = 48000;
/** How long a device may take to begin to sound before the music moves without it. */
const deafMs = 800;
/** What a loop that climbs gains each time, and where it stops. */
export const climbStep = 0.05;
const fullSpeed = 1;
/** Lead and band together stay under what a device can give. */
const bandLevel = 0.8;

export interface Settings {
  rate: number;
  loop: [number, number] | null;
  /** The loop comes round a step faster each time, up to full speed. */
  climb: boolean;
  countIn: boolean;
  lead: number;
  click: number;
  /** How loud the band is, and a drone of tonic and fifth; 0 is silent. */
  band: number;
  drone: number;
}

/** A stretch of music that sounds at one rate from a time of the audio clock on. */
interface Run {
  sound: Sounding | null; // null without a recording
  band: Sounding | null;
  rate: number;
  began: number; // audio clock when `from` sounds
  from: number;
  loop: [number, number] | null;
}

/** Music at another speed whose first piece is being made. */
interface Opening {
  rate: number;
  from: number;
  pieces: Pieces;
  first: Piece | null; // null until it is there
}

export class Player {
  readonly settings: Settings = { rate: 1, loop: null, climb: false, countIn: false, lead: 1, click: 0, band: 0, drone: 0 };
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
  /** Where music is sounded from its notes; null plays the recording. */
  private live: Source | null = null;
  /** What plays along, recorded, and at other speeds. */
  private band: AudioBuffer | null = null;
  private readonly bandSlower = new Slower();
  private bandGain: GainNode | null = null;
  private joins = 0;
  private drone: Drone | null = null;
  private run: Run | null = null;
  private next: Run | null = null; // takes over when its time comes
  private timer = 0;
  private rest = 0; // position while not playing
  private clickedTo = 0; // audio clock up to which clicks are scheduled
  private pendingClicks: { tone: OscillatorNode; when: number }[] = [];
  /** What the next run waits for: a start, a change of speed or loop, the next round of a loop that climbs. */
  private opening: Opening | null = null;
  private loads = 0;
  /** The device gives no sound: its clock stands still, and the page's own goes. */
  private silent = false;

  constructor(private tab: Tab) {}

  get playing(): boolean {
    return this.run !== null || this.starting;
  }

  /** Whether music can start: a page without its sound moves too. */
  get ready(): boolean {
    return this.loaded;
  }

  /** Sounds from the notes what begins from now on; null plays the recording again, at once. */
  set notes(from: Source | null) {
    const lost = this.live !== null && from === null && this.playing;
    this.live = from;
    if (lost) this.restart(false);
  }

  /** Whether music is sounded from its notes. */
  get sounds(): boolean {
    return this.live !== null;
  }

  /** Whether music at a rate comes in pieces that are made while it plays. */
  private inPieces(rate: number): boolean {
    return !this.silent && (this.live !== null || (this.recording !== null && rate !== 1));
  }

  /** Changes to another tab of the same tune and keeps the place; null is no sound. */
  async use(tab: Tab, sound: ArrayBuffer | null): Promise<void> {
    const again = this.playing;
    const at = this.position();
    const load = ++this.loads;
    this.stop();
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
        if (again) this.begin();
        this.onState();
      }
    }
  }

  /** Brings the compressed sound of the tab that is in use; music that moves already goes on. */
  async bring(sound: ArrayBuffer): Promise<void> {
    const load = this.loads;
    const recording = await this.audio().decodeAudioData(sound);
    if (load !== this.loads) return;
    const again = this.playing;
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.recording = recording;
    this.slower.of(recording);
    if (again) this.begin(false);
    this.onState();
  }

  /** What plays along with the tab that is in use, compressed; null is nobody. Music that plays has it join. */
  async join(band: ArrayBuffer | null): Promise<void> {
    const join = ++this.joins;
    const recording = band && (await this.audio().decodeAudioData(band));
    if (join !== this.joins) return;
    this.band = recording;
    this.bandSlower.of(recording);
    this.joinIn();
  }

  /** Has the band come in where the music is. */
  private joinIn(): void {
    for (const run of [this.run, this.next]) {
      if (!run) continue;
      run.band?.stop(0, false);
      run.band = null;
      const begin = Math.max(this.clock() + 0.05, run.began);
      run.band = this.accompany(run.rate, begin, this.placeIn(run, begin), run.loop, true);
    }
  }

  /** The band from a place on; null when nobody hears it. */
  private accompany(rate: number, began: number, from: number, loop: [number, number] | null, gently: boolean): Sounding | null {
    if (!this.band || this.silent || this.settings.band === 0) return null;
    const sound = new Sounding(this.audio(), this.bandGain!, began, gently, true);
    if (rate === 1) sound.whole(this.band, from, loop);
    else sound.made(this.bandSlower.pieces(rate, from, loop), null, 0);
    return sound;
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
    Object.assign(this.settings, change);
    if (this.lead && change.lead !== undefined) this.lead.gain.value = change.lead;
    if (this.clicks && change.click !== undefined) this.clicks.gain.value = change.click;
    if (change.band !== undefined) this.mix(change.band);
    if (change.drone !== undefined && this.context) {
      this.drone ??= new Drone(this.context, this.context.destination);
      this.drone.set(this.run ? this.tab.drone : [], change.drone);
    }
    if (change.loop !== undefined || change.rate !== undefined) this.goOver(overSeconds);
    this.onState();
  }

  /** Sets how loud the band is. */
  private mix(level: number): void {
    if (!this.bandGain) return;
    this.bandGain.gain.value = bandLevel * level;
    const sounds = this.run?.band !== null && this.run?.band !== undefined;
    if (level > 0 !== sounds) this.joinIn();
  }

  /**
   * Goes over to the speed and loop that are set: what sounds goes on until the
   * other music is there, and takes over in so many seconds.
   */
  private goOver(soon: number): void {
    const { run } = this;
    const { rate, loop } = this.settings;
    if (!run) {
      if (this.starting) this.restart(true);
      return;
    }
    if (this.next || this.clock() < run.began) {
      this.restart(this.clock() < run.began);
      return;
    }
    this.close();
    const at = this.clock() + soon;
    const place = this.placeIn(run, at);
    const from = within(place, loop);
    const over = (begin: number, start: number, opening: Opening | null, skip: number): void => {
      run.sound?.stop(begin, true);
      run.band?.stop(begin, true);
      this.recall(begin);
      this.next = this.start(rate, begin, start, loop, opening, skip, true);
    };
    if (!this.inPieces(rate)) {
      over(at, from, null, 0);
      return;
    }
    void this.open(rate, from, loop).then((opening) => {
      if (!opening) return;
      const begin = Math.max(at, this.clock() + 0.01);
      if (opening.pieces.patient) {
        over(begin, from, opening, 0);
        return;
      }
      // What came late leaves out what has sounded meanwhile.
      const late = from === place ? begin - at : 0;
      const skip = (late * run.rate) / rate;
      if (!opening.first || skip < secondsOf(opening.first)) over(begin, from + late * run.rate, opening, skip);
      else this.goOver(2 * (begin - at));
    });
  }

  /** Begins anew from where it is. */
  private restart(counted: boolean): void {
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.begin(counted);
  }

  /** Whether music starts and its first piece is on its way. */
  private starting = false;

  private begin(counted = true): void {
    const context = this.audio();
    void context.resume();
    const { rate, loop } = this.settings;
    const from = within(this.rest >= this.tab.timing.total - 0.05 ? 0 : this.rest, loop);
    if (!this.inPieces(rate)) this.go(from, counted, null);
    else {
      this.starting = true;
      void this.open(rate, from, loop).then((opening) => {
        if (!opening) return;
        this.starting = false;
        this.go(from, counted, opening);
      });
    }
    if (!this.silent && context.state !== "running") window.setTimeout(() => this.deaf(context, counted), deafMs);
    this.onState();
  }

  /** Starts to play from a place, with what has been made of it. */
  private go(from: number, counted: boolean, opening: Opening | null): void {
    const { rate, loop, countIn } = this.settings;
    let begin = this.clock() + 0.02;
    if (countIn && counted) begin += this.countIn(begin, from);
    this.run = this.start(rate, begin, from, loop, opening, 0, false);
    if (this.settings.drone > 0 && !this.silent) {
      this.drone ??= new Drone(this.audio(), this.audio().destination);
      this.drone.set(this.tab.drone, this.settings.drone);
    }
    this.clickedTo = begin;
    this.timer = window.setInterval(() => this.look(), lookMs);
    this.look();
    this.onState();
  }

  /** Makes the first piece from a place on; null when nobody waits for it any more. */
  private async open(rate: number, from: number, loop: [number, number] | null): Promise<Opening | null> {
    const opening: Opening = { rate, from, pieces: (this.live ?? this.slower).pieces(rate, from, loop), first: null };
    this.opening = opening;
    opening.first = await opening.pieces.next();
    return this.opening === opening ? opening : null;
  }

  /** Gives up what is being made. */
  private close(): void {
    this.opening?.pieces.end();
    this.opening = null;
    this.starting = false;
  }

  private start(rate: number, began: number, from: number, loop: [number, number] | null, opening: Opening | null, skip: number, gently: boolean): Run {
    const run: Run = { sound: null, band: this.accompany(rate, began, from, loop, gently), rate, began, from, loop };
    this.opening = null;
    if ((!this.recording && !opening) || this.silent) return run;
    run.sound = new Sounding(this.audio(), this.lead!, began, gently);
    run.sound.onLate = (seconds) => {
      run.began += seconds;
      if (run.band) this.joinIn(); // it goes by the lead
    };
    if (opening) run.sound.made(opening.pieces, opening.first, skip);
    else run.sound.whole(this.recording!, from, loop);
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
      const context = new AudioContext({ latencyHint: "interactive", sampleRate: contextRate });
      this.context = context;
      context.onstatechange = () => {
        if (this.silent && context.state === "running") this.hush(false, false);
      };
      this.lead = this.context.createGain();
      this.lead.gain.value = this.settings.lead;
      this.lead.connect(this.context.destination);
      this.bandGain = this.context.createGain();
      this.bandGain.gain.value = bandLevel * this.settings.band;
      this.bandGain.connect(this.context.destination);
      this.clicks = this.context.createGain();
      this.clicks.gain.value = this.settings.click;
      this.clicks.connect(this.context.destination);
    }
    return this.context;
  }

  private stop(): void {
    window.clearInterval(this.timer);
    this.recall(0);
    for (const run of [this.run, this.next]) {
      run?.sound?.stop(0, false);
      run?.band?.stop(0, false);
    }
    this.drone?.set([], 0);
    this.run = this.next = null;
    this.close();
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
    this.climb();
    this.scheduleClicks();
    for (const run of [this.run, this.next]) {
      run?.sound?.feed();
      run?.band?.feed();
    }
  }

  /** Starts the next round of a loop a step faster, when its sound is there by then. */
  private climb(): void {
    const run = this.run!;
    if (!this.settings.climb || !run.loop || this.next || run.rate >= fullSpeed - 1e-6) return;
    const rate = Math.min(fullSpeed, Math.round((run.rate + climbStep) * 100) / 100);
    const made = this.inPieces(rate);
    if (made && !this.opening) void this.open(rate, run.loop[0], run.loop);
    const { opening } = this;
    if (made && !(opening?.first && opening.rate === rate && opening.from === run.loop[0])) return;
    const now = this.clock();
    const left = (run.loop[1] - Math.max(run.from, this.placeIn(run, now))) / run.rate;
    const end = Math.max(now, run.began) + left;
    if (end - now > aheadSeconds) return;
    run.sound?.stop(end, false);
    run.band?.stop(end, false);
    this.recall(end);
    this.next = this.start(rate, end, run.loop[0], run.loop, made ? opening : null, 0, false);
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
    // A count-in sounds even when the clicks are silent.
    const tone = clickAt(context, level < 1 ? context.destination : this.clicks!, when, strong, level);
    this.pendingClicks.push({ tone, when });
    tone.onended = () => {
      this.pendingClicks = this.pendingClicks.filter((p) => p.tone !== tone);
    };
  }

  /** Takes back the clicks from a time of the audio clock on. */
  private recall(from: number): void {
    for (const c of this.pendingClicks) if (c.when >= from) c.tone.stop();
    this.pendingClicks = this.pendingClicks.filter((c) => c.when < from);
    this.clickedTo = Math.min(this.clickedTo, from);
  }
}

/** A place, or the loop's start when it lies outside. */
function within(place: number, loop: [number, number] | null): number {
  return loop && (place < loop[0] || place >= loop[1]) ? loop[0] : place;
}

function secondsOf(piece: Piece): number {
  return piece.channels[0]!.length / piece.sampleRate;
}
