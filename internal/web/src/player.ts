// Plays one recording in step with its written music: from anywhere, in a loop,
// slower, with a count-in and clicks. Positions are seconds at the tune's own
// speed whatever the rate is. Without a recording the music moves on all the
// same, silently or by clicks alone; where the device gives no sound at all, by
// the page's own clock.

import { contextRate, rounds, soundContext, type Stretch } from "./along";
import type { AlongRound, Tab } from "./forms";
import type { Played, Source } from "./live";
import { clickAt } from "./clicktone";
import { Drone } from "./drone";
import type { Piece, Pieces } from "./pieces";
import { Recorded } from "./recorded";
import { Slower } from "./slower";
import { Sounding } from "./sounding";
import { type ClickOn, clicksOf, countIn, type Going, here, isYours, recordedIn, roundAt, there, type Way, wayOf } from "./way";

/** How far ahead sound is handed to the audio clock, and how often. */
const aheadSeconds = 0.25;
const lookMs = 60;
/** How soon music goes over to another speed or loop, in seconds: pieces of it are there by then. */
const overSeconds = 0.12;
/** The channels of a recording, and of what plays along. */
const [leadChannels, bandChannels] = [2, 1];
/** How long a device may take to begin to sound before the music moves without it. */
const deafMs = 800;
/** What a loop that climbs gains each time, and where it stops. */
export const climbStep = 0.05;
const fullSpeed = 1;
/** A page that slept makes up for no clicks that are older, in seconds. */
const lateSeconds = 0.05;
/** A click between beats against one on a beat, as the command's. */
const softLevel = 0.57;
/** How many stretches of music are remembered. */
const mostSounded = 500;
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
  clickOn: ClickOn;
  /** So many bars with the click, so many without; 0 is never without. */
  clickOut: number;
  /** My turn, your turn: phrases of so many bars; 0 is all played. */
  turns: number;
  /** How many times as long as usual glides take, where music is sounded from its notes. */
  glides: number;
  /** How loud the band is, and a drone of tonic and fifth; 0 is silent. */
  band: number;
  drone: number;
}

/** A stretch of music that sounds at one rate from a time of the audio clock on. */
interface Run extends Stretch {
  sound: Sounding | null; // null without a recording
  band: Sounding | null;
  /** How it is sounded from its notes; null for a recording, or for silence. */
  played: Played | null;
}

/** Music at another speed whose first piece is being made. */
interface Opening {
  rate: number;
  from: number;
  way: Way;
  played: Played | null;
  pieces: Pieces;
  first: Piece | null; // null until it is there
}

/** A tab of no music. */
export const nothing: Tab = { rig: "", title: "", timing: { countIn: 0, end: 0, total: 0, bars: [], strokes: [], clicks: [], steel: [] }, strokes: [], neck: { open: [], hz: [], frets: 0 }, drone: [] };

export class Player {
  readonly settings: Settings = { rate: 1, loop: null, climb: false, countIn: false, lead: 1, click: 0, clickOn: "beats", clickOut: 0, turns: 0, glides: 1, band: 0, drone: 0 };
  onState: () => void = () => {};
  /** Music is started by somebody, and not merely goes on. */
  onStart: () => void = () => {};
  /** The device turns out to give no sound, or gives it after all. */
  onSilence: (silent: boolean) => void = () => {};
  /** Brings the recording of the tab in use, when music begins that has none yet: it waits for that. Null when it has come, or there is none. */
  recorded: (() => Promise<void>) | null = null;

  private context: AudioContext | null = null;
  private lead: GainNode | null = null;
  private clicks: GainNode | null = null;
  private recording: Recorded | null = null;
  private loaded = false;
  private readonly slower = new Slower();
  /** Where music is sounded from its notes; null plays the recording. */
  private live: Source | null = null;
  /** What plays along, recorded, and at other speeds. */
  private band: Recorded | null = null;
  private readonly bandSlower = new Slower();
  private bandGain: GainNode | null = null;
  private joins = 0;
  private drone: Drone | null = null;
  private run: Run | null = null;
  /** What has been sounded of the tab in use, as far back as a take may go. */
  private sounded: Stretch[] = [];
  private next: Run | null = null; // takes over when its time comes
  private timer = 0;
  private rest = 0; // position while not playing
  /** Whose turn it was there, where music is to go on and not to be begun. */
  private restYours = false;
  /** How the music is gone through as it is set; places of the player's own are of it. */
  private way: Way;
  private clickedTo = 0; // audio clock up to which clicks are scheduled
  private pendingClicks: { tone: OscillatorNode; when: number }[] = [];
  /** What the next run waits for: a start, a change of speed or loop, the next round of a loop that climbs. */
  private opening: Opening | null = null;
  private loads = 0;
  /** The device gives no sound: its clock stands still, and the page's own goes. */
  private silent = false;

  constructor(private tab: Tab) {
    this.way = wayOf(tab.timing, 0, null);
  }

  /** Lays the way through the music as it is set. */
  private layWay(): void {
    this.way = wayOf(this.tab.timing, this.settings.turns, this.settings.loop);
  }

  get playing(): boolean {
    return this.run !== null || this.starting;
  }

  /** Whether music can start: a page without its sound moves too, and the notes need no recording. */
  get ready(): boolean {
    return this.loaded || this.live !== null;
  }

  /** Sounds from the notes what begins from now on; null plays the recording again, at once. */
  set notes(from: Source | null) {
    const lost = this.live !== null && from === null && this.playing;
    const waited = this.live === null && this.starting && !this.opening;
    this.live = from;
    if (lost) this.restart(false);
    else if (waited && from) this.begin();
    this.onState();
  }

  /** Whether music is sounded from its notes. */
  get sounds(): boolean {
    return this.live !== null;
  }

  /** Whether music at a rate comes in pieces that are made while it plays. */
  private inPieces(rate: number): boolean {
    return !this.silent && (this.live !== null || (this.recording !== null && (rate !== 1 || this.settings.turns > 0)));
  }

  /** Changes to another tab of the same tune and keeps the place; null is no sound. */
  async use(tab: Tab, sound: ArrayBuffer | null): Promise<void> {
    const again = this.playing;
    const at = this.position();
    const load = ++this.loads;
    this.stop();
    this.sounded = [];
    this.tab = tab;
    this.layWay();
    this.rest = Math.max(0, Math.min(at, tab.timing.total));
    this.record(null);
    this.loaded = sound === null;
    this.onState();
    try {
      const recording = sound && (await this.decode(sound, leadChannels, () => this.unused()));
      if (load !== this.loads) return recording?.end();
      this.record(recording);
    } finally {
      if (load === this.loads) {
        this.loaded = true;
        if (again) this.begin();
        this.onState();
      }
    }
  }

  /** Brings the compressed sound of the tab that is in use; music that moves already goes on. */
  async bring(sound: ArrayBuffer): Promise<void> {
    const load = this.loads;
    const recording = await this.decode(sound, leadChannels, () => this.unused());
    if (load !== this.loads || this.live) return recording.end();
    const again = this.playing;
    const waited = this.starting;
    const at = Math.max(0, this.position());
    this.stop();
    this.rest = at;
    this.recorded = null;
    this.record(recording);
    if (again) this.begin(waited);
    this.onState();
  }

  /** Decodes what has the tab's length, where there is room for it. */
  private async decode(sound: ArrayBuffer, channels: number, letGo: (() => boolean) | null = null): Promise<Recorded> {
    Recorded.refuse(this.tab.timing.total, channels, contextRate);
    return Recorded.of(await this.audio().decodeAudioData(sound), letGo);
  }

  /** Takes a recording in the place of the one before. */
  private record(recording: Recorded | null): void {
    this.recording?.end();
    this.recording = recording;
    this.slower.of(recording);
  }

  /** Lets the recording go that the notes sound in place of; who needs it again brings it. */
  private unused(): boolean {
    if (!this.live || this.playing) return false;
    this.record(null);
    return true;
  }

  /** What plays along with the tab that is in use, compressed; null is nobody. Music that plays has it join. */
  async join(band: ArrayBuffer | null): Promise<void> {
    const join = ++this.joins;
    this.band?.end();
    this.band = null;
    this.bandSlower.of(null);
    const recording = band && (await this.decode(band, bandChannels));
    if (join !== this.joins) return recording?.end();
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
      run.band = run.played ? null : this.accompany(run.way, run.rate, begin, this.placeIn(run, begin), true);
    }
  }

  /** The recorded band from a place on; null when nobody hears it. */
  private accompany(way: Way, rate: number, began: number, from: number, gently: boolean): Sounding | null {
    const { band } = this;
    if (!band || this.silent || this.settings.band === 0) return null;
    const sound = new Sounding(this.audio(), this.bandGain!, began, gently, true);
    if (way.phrases.length) sound.made(recordedIn(way, rate, from, band.sampleRate, false, (at) => this.bandSlower.pieces(rate, at, null)), null, 0);
    else if (rate === 1) this.asItIs(sound, band, from, way.loop);
    else sound.made(this.bandSlower.pieces(rate, from, way.loop), null, 0);
    return sound;
  }

  /** The context that sounds, to record in as well; null where the device gives no sound. */
  async shared(): Promise<AudioContext | null> {
    const context = this.audio();
    await Promise.race([context.resume(), new Promise((go) => window.setTimeout(go, deafMs))]);
    return context.state === "running" ? context : null;
  }

  /** What has been sounded since a time of the audio clock. */
  since(first: number): AlongRound[] {
    return this.silent ? [] : rounds(this.sounded, first, this.clock());
  }

  /** The place in the music now, in seconds; below zero during a count-in. */
  position(): number {
    const run = this.run;
    if (!run) return this.rest;
    return here(run.way, this.placeIn(run, this.now()));
  }

  /** Whether it is the student's turn now. */
  get yours(): boolean {
    const run = this.run;
    return run ? isYours(run.way, this.placeIn(run, this.now())) : this.restYours;
  }

  play(): void {
    if (!this.ready || this.playing) return;
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
    if (change.loop !== undefined || change.turns !== undefined) this.layWay();
    if (change.loop !== undefined || change.rate !== undefined || change.turns !== undefined || (change.glides !== undefined && this.live)) this.goOver(overSeconds);
    this.onState();
  }

  /** Sets how loud the band is. */
  private mix(level: number): void {
    if (!this.bandGain) return;
    this.bandGain.gain.value = bandLevel * level;
    if (this.run?.played) {
      if (level > 0 && !this.run.played.band) this.goOver(overSeconds);
      return;
    }
    const sounds = this.run?.band !== null && this.run?.band !== undefined;
    if (level > 0 !== sounds) this.joinIn();
  }

  /**
   * Goes over to the speed and loop that are set: what sounds goes on until the
   * other music is there, and takes over in so many seconds.
   */
  private goOver(soon: number): void {
    const { run } = this;
    const { rate } = this.settings;
    const { way } = this;
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
    const gone = this.placeIn(run, at);
    const place = run.way === way ? gone : there(way, here(run.way, gone), isYours(run.way, gone));
    const from = within(place, way.loop);
    const over = (begin: number, start: number, opening: Opening | null, skip: number): void => {
      run.sound?.stop(begin, true);
      run.band?.stop(begin, true);
      this.recall(begin);
      const round = run.way === way ? roundAt(run, begin) : 0;
      this.next = this.start({ way, rate, began: begin, from: start, round }, opening, skip, true);
    };
    if (!this.inPieces(rate)) {
      over(at, from, null, 0);
      return;
    }
    void this.open(rate, from).then((opening) => {
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
    const { yours } = this;
    this.stop();
    this.rest = at;
    this.restYours = yours;
    this.begin(counted);
  }

  /** Whether music starts and its first piece is on its way. */
  private starting = false;

  private begin(counted = true): void {
    const context = this.audio();
    void context.resume();
    const { recorded } = this;
    if (recorded && !this.live) {
      this.starting = true;
      this.onState();
      void recorded();
      return;
    }
    const { rate } = this.settings;
    const from = within(there(this.way, this.rest >= this.tab.timing.total - 0.05 ? 0 : this.rest, this.restYours), this.way.loop);
    this.restYours = false;
    if (!this.inPieces(rate)) this.go(from, counted, null);
    else {
      this.starting = true;
      void this.open(rate, from).then((opening) => {
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
    const { rate } = this.settings;
    let begin = this.clock() + 0.02;
    if (this.settings.countIn && counted) begin += this.countIn(begin, from);
    this.run = this.start({ way: this.way, rate, began: begin, from, round: 0 }, opening, 0, false);
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
  private async open(rate: number, from: number): Promise<Opening | null> {
    const { way, recording, live } = this;
    const played: Played | null = live && { way, glides: this.settings.glides, band: this.settings.band > 0 };
    const pieces = live && played ? live.pieces(rate, from, played)
      : way.phrases.length ? recordedIn(way, rate, from, recording?.sampleRate ?? contextRate, true, (at) => this.slower.pieces(rate, at, null))
        : this.slower.pieces(rate, from, way.loop);
    const opening: Opening = { rate, from, way, played, pieces, first: null };
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

  private start(going: Going, opening: Opening | null, skip: number, gently: boolean): Run {
    const { way, rate, began, from } = going;
    const played = opening?.played ?? null;
    const run: Run = { ...going, sound: null, band: played ? null : this.accompany(way, rate, began, from, gently), played, until: Infinity };
    const before = this.sounded.at(-1);
    if (before) before.until = Math.min(before.until, began);
    this.sounded = [...this.sounded.slice(-mostSounded), run];
    this.opening = null;
    if ((!this.recording && !opening) || this.silent) return run;
    run.sound = new Sounding(this.audio(), this.lead!, began, gently, false, played?.band ? this.bandGain : null);
    run.sound.onLate = (seconds) => {
      run.began += seconds;
      if (run.band) this.joinIn(); // it goes by the lead
    };
    if (opening) run.sound.made(opening.pieces, opening.first, skip);
    else this.asItIs(run.sound, this.recording!, from, way.loop);
    return run;
  }

  private asItIs(sound: Sounding, recording: Recorded, from: number, loop: [number, number] | null): void {
    const pieces = recording.plain(from, loop);
    sound.made(pieces, pieces.first, 0);
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
    const { loop, total } = run.way;
    const place = loop && at > loop[1] ? loop[0] + ((at - loop[0]) % (loop[1] - loop[0])) : at;
    return Math.min(place, total);
  }

  private audio(): AudioContext {
    if (!this.context) {
      const context = soundContext();
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
      if (run) run.until = Math.min(run.until, this.clock());
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
    if (!this.run.way.loop && this.now() > this.run.began && this.placeIn(this.run, this.now()) >= this.run.way.total) {
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
    const { loop } = run.way;
    if (!this.settings.climb || !loop || run.way !== this.way || this.next || run.rate >= fullSpeed - 1e-6) return;
    const rate = Math.min(fullSpeed, Math.round((run.rate + climbStep) * 100) / 100);
    const made = this.inPieces(rate);
    if (made && !this.opening) void this.open(rate, loop[0]);
    const { opening } = this;
    if (made && !(opening?.first && opening.rate === rate && opening.way === run.way && opening.from === loop[0])) return;
    const now = this.clock();
    const left = (loop[1] - Math.max(run.from, this.placeIn(run, now))) / run.rate;
    const end = Math.max(now, run.began) + left;
    if (end - now > aheadSeconds) return;
    run.sound?.stop(end, false);
    run.band?.stop(end, false);
    this.recall(end);
    const going = { way: run.way, rate, began: end, from: loop[0], round: roundAt(run, end) };
    this.next = this.start(going, made ? opening : null, 0, false);
  }

  /** Counts in before a place of the way; gives how long that takes. */
  private countIn(begin: number, from: number): number {
    const { rate } = this.settings;
    const { seconds, beats } = countIn(this.tab.timing, here(this.way, from));
    for (const b of beats) this.tick(begin + (seconds + b.at) / rate, b.first, 0.5, this.audio().destination); // though the clicks be silent
    return seconds / rate;
  }

  private scheduleClicks(): void {
    const { clickOn, clickOut } = this.settings;
    const until = this.clock() + aheadSeconds;
    while (this.clickedTo < until) {
      // What the audio clock covers next, cut where the next run takes over.
      const comes = this.next && this.clickedTo >= this.next.began - 1e-6;
      const to = this.next && !comes ? Math.min(until, this.next.began) : until;
      for (const { when, click } of clicksOf(comes ? this.next! : this.run!, this.clickedTo, to, clickOn, clickOut)) if (when > this.clock() - lateSeconds) this.tick(when, click.first, click.soft ? softLevel : 1, this.clicks!);
      this.clickedTo = to;
    }
  }

  private tick(when: number, strong: boolean, level: number, into: AudioNode): void {
    if (this.silent) return;
    const tone = clickAt(this.audio(), into, when, strong, level);
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
