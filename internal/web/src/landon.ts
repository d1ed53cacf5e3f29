// "Land on it": ten places over the neck, over a drone; where the steel lands is shown live in cents and
// millimetres, and how it went is kept on the device.

import type { Core } from "./core";
import { h, need } from "./dom";
import { Drone } from "./drone";
import type { Landing, Tab } from "./forms";
import { keep, kept } from "./kept";
import { after, type Landed, landedIn, middle, readLandings, roundLength, type Target, targets } from "./landings";
import type { TabText } from "./live";
import { Looks } from "./looks";
import { NeckPicture } from "./neck";
import { needles, show, stand } from "./needles";
import { offText } from "./offtext";
import { whyNot } from "./recorder";
import { dayOf } from "./takeshelf";

/** How much of the sound is looked at each time, in seconds, and how long it rests, in milliseconds. */
const lookSeconds = 0.7;
const restMs = 60;
/** The highest fret of a target. */
const highest = 12;
/** How loud the drone is, from 0 to 1: the microphone may hear it. */
const droneLevel = 0.5;

export class LandOn {
  readonly element: HTMLDetailsElement;
  private readonly start: HTMLButtonElement;
  private readonly skip: HTMLButtonElement;
  private readonly droning: HTMLInputElement;
  private readonly said = h("p", { class: "land-said", role: "status" });
  private readonly live: HTMLElement;
  private readonly place = h("div", { class: "neck-place" });
  private readonly list = h("ol", { class: "landings" });
  private readonly last = h("p", { class: "small soft" });
  private readonly looks: Looks;
  private neck: NeckPicture | null = null;
  private context: AudioContext | null = null;
  private drone: Drone | null = null;
  private on: { tab: Tab; text: TabText } | null = null;
  private round: Target[] = [];
  private done: Landed[] = [];

  /** shown gives the instrument that is shown; hush stops what else sounds. */
  constructor(
    private readonly core: Core,
    capture: string,
    private readonly shown: () => { tab: Tab; text: TabText } | null,
    private readonly hush: () => void,
  ) {
    this.start = h("button", { type: "button", class: "main", onclick: () => void this.toggle() }, "Start ten places");
    this.skip = h("button", { type: "button", hidden: true, onclick: () => this.landed(null, null) }, "Leave this one out");
    this.droning = h("input", { type: "checkbox", onchange: () => this.sound() });
    this.droning.checked = true;
    this.live = h("div", { class: "land-live", hidden: true });
    this.looks = new Looks(capture, lookSeconds, (blocks, rate) => this.look(blocks, rate), (e) => {
      this.end(e instanceof Error ? e.message : String(e));
    }, restMs);
    this.start.disabled = whyNot() !== "";
    this.element = h("details", { class: "own land-on" }, h("summary", {}, "Land on it"),
      h("p", { class: "small soft" }, "Lift the steel, put it down where the dot is, pluck that string alone and let it ring. Places you miss come back sooner. Wear headphones, or the microphone hears the drone too. Nothing is sent anywhere."),
      h("p", { class: "own-do" }, this.start, this.skip, h("label", { class: "pair" }, this.droning, h("span", {}, "Drone"))),
      this.said, this.place, this.live, this.list, this.last);
    this.said.textContent = whyNot();
    this.element.addEventListener("toggle", () => this.tellLast());
  }

  /** Another instrument is shown: what was begun on the one before ends. */
  turn(): void {
    if (this.on) void this.stop();
    this.tellLast();
  }

  private get keptAs(): string {
    return `land on it ${this.shown()?.tab.title ?? ""}`;
  }

  private async toggle(): Promise<void> {
    if (this.on) {
      await this.stop();
      return;
    }
    const on = this.shown();
    if (!on) return;
    this.hush();
    const was = readLandings(kept(this.keptAs));
    const { neck } = on.tab;
    const sounding = neck.hz.map((hz) => hz * 2 ** ((neck.capo ?? 0) / 12)); // frets count from the capo
    this.on = on;
    this.round = targets(was.rounds.length + 1, sounding, Math.min(highest, neck.frets), was.missed);
    this.done = [];
    this.list.replaceChildren();
    this.neck = new NeckPicture(on.tab, highest);
    this.place.replaceChildren(this.neck.element);
    this.start.textContent = "Stop";
    this.skip.hidden = this.live.hidden = false;
    this.next();
    this.sound();
    await this.looks.toggle();
  }

  private async stop(): Promise<void> {
    await this.looks.stop();
    this.end("");
  }

  /** Ends the round and says why. */
  private end(why: string): void {
    this.on = null;
    this.sound();
    this.start.textContent = "Start ten places";
    this.skip.hidden = this.live.hidden = true;
    this.place.replaceChildren();
    for (const k of ["string", "fret", "hz"]) delete this.said.dataset[k];
    this.said.textContent = why;
  }

  private sound(): void {
    const hz = this.on && this.droning.checked ? this.on.tab.drone : [];
    if (hz.length === 0 && !this.drone) return;
    const context = (this.context ??= new AudioContext());
    void context.resume();
    (this.drone ??= new Drone(context, context.destination)).set(hz, droneLevel);
  }

  /** Asks for the next place. */
  private next(): void {
    const t = this.round[this.done.length]!;
    this.said.textContent = `${this.done.length + 1} of ${this.round.length}: string ${t.string}, fret ${t.fret}`;
    Object.assign(this.said.dataset, { string: t.string, fret: t.fret, hz: t.hz });
    this.live.replaceChildren(needles([{ number: t.string, name: `fret ${t.fret}` }]));
    this.neck!.mark([[t.string, t.fret]], null);
  }

  private async look(blocks: Int16Array[], rate: number): Promise<void> {
    const t = this.round[this.done.length];
    if (!this.on || !t) return;
    const l = await this.core.spare<Landing>({ what: "landing", rig: this.on.text.rig, string: t.string, fret: t.fret }, blocks, rate);
    if (!l || !this.on || this.round[this.done.length] !== t || l.cents === null || l.mm === null) return;
    show(this.live, [{ string: t.string, wanted: t.hz, hz: t.hz, cents: l.cents, onset: 0 }]);
    need(".stands", this.live).textContent = landedText(l.cents, l.mm);
    if (l.steady) this.landed(l.cents, l.mm);
  }

  private landed(cents: number | null, mm: number | null): void {
    const t = this.round[this.done.length];
    if (!this.on || !t) return;
    this.done.push({ ...t, cents, mm });
    this.list.append(h("li", {}, `String ${t.string}, fret ${t.fret}: ${cents === null || mm === null ? "left out" : landedText(cents, mm)}`));
    if (this.done.length < this.round.length) this.next();
    else void this.finish();
  }

  private async finish(): Promise<void> {
    const round = this.done;
    const name = this.keptAs;
    keep(name, JSON.stringify(after(readLandings(kept(name)), round, dayOf({ played: Date.now() }))));
    await this.looks.stop();
    const off = middle(round);
    this.end(`In tune: ${round.filter(landedIn).length} of ${round.length}${off === null ? "" : `; ${off.toFixed(0)} cents off in the middle`}.`);
    this.tellLast();
  }

  /** Tells how the rounds before went. */
  private tellLast(): void {
    const { rounds } = readLandings(kept(this.keptAs));
    this.last.textContent = rounds.length === 0 ? "" : `Kept on this device, the newest last: ${rounds.slice(-5).map((r) => `${r.day} ${r.inTune} of ${roundLength}${r.middle === null ? "" : `, ${r.middle.toFixed(0)} cents`}`).join("; ")}.`;
  }
}

/** How far off the steel lies, in words and by a sign. */
function landedText(cents: number, mm: number): string {
  const { stands } = stand(cents);
  const way = stands === "tune" ? `● in tune${Math.abs(cents) < 1 ? "" : ` (${offText(cents)})`}` : `${stands === "sharp" ? "▲" : "▼"} ${offText(cents)}`;
  return Math.abs(mm) < 0.3 ? way : `${way}, ${Math.abs(mm).toFixed(1)} mm towards the ${mm < 0 ? "nut" : "bridge"}`;
}
