// The row of controls for playing: start and stop, the bar, speed, a loop of
// bars, count-in, lead and clicks; and the keys that do the same.

import { h, icon, need, typing } from "./dom";
import { startFollowing } from "./follow";
import type { ClickTime, Tab } from "./forms";
import { keep, kept } from "./kept";
import type { Player } from "./player";
import { Practise } from "./practise";
import { viewChoices } from "./view";
import { beatsPerMinute, lastBefore } from "./when";

const playShape = "M3.5 1.8v12.4L14 8z";
const pauseShape = "M3 2h3.6v12H3zM9.4 2H13v12H9.4z";
const startShape = "M2 2h2.4v12H2zM14 2v12L5.4 8z";
/** Speeds in per cent; the steps are what a player hears as one. */
export const slowest = 40;
const step = 5;
export const full = 100;
/** Speeds that are sounded from the notes. */
const slowestSounded = 30;
const fastestSounded = 150;
/** Speeds to choose from, the fastest first. */
export function speeds(low: number, high: number): HTMLOptionElement[] {
  return Array.from({ length: (high - low) / step + 1 }, (_, i) => high - i * step).map((s) => h("option", { value: s }, `${s} %`));
}
/** What the device keeps when nothing is to be said while music plays. */
const quiet = "quiet while playing";
/** Keys as they are told on the page, and what each does; left says when a press belongs to what has the focus. */
export interface Keys {
  caps: string;
  does: string;
  /** By the name of the key; letters are small. */
  acts: Record<string, () => void>;
  left?: (e: KeyboardEvent) => boolean;
}

export class Transport {
  readonly element: HTMLElement;
  private tab: Tab | null = null;
  private readonly play: HTMLButtonElement;
  private readonly where: HTMLElement;
  private readonly from: HTMLSelectElement;
  private readonly to: HTMLSelectElement;
  private readonly loop: HTMLButtonElement;
  private readonly speed: HTMLSelectElement;

  private readonly tempo: HTMLElement;
  /** Turns, clicks and glides. */
  readonly practise: Practise;
  private beats: ClickTime[] = [];
  private low = slowest;
  private high = full;
  /** Told when speed or loop have been chosen. */
  onChoice: () => void = () => {};
  /** Told when the band is wanted. */
  onBand: () => void = () => {};
  /** Told when the way to look at the neck has been chosen. */
  onView: () => void = () => {};

  private clicking = false;
  private banding = false;
  private readonly clickLevel = this.range(1, (v) => this.clicks(this.clicking, v));
  private readonly bandLevel = this.range(0.8, (v) => this.playAlong(this.banding, v));
  private readonly bandVolume = this.label("Band", this.bandLevel);
  private readonly bandTick = this.tick("Band", (on) => this.playAlong(on, Number(this.bandLevel.value)));
  private readonly keys: Keys[] = [
    { caps: "Space", does: "play and pause", acts: { " ": () => this.player.toggle() }, left: (e) => onButton(e) || e.target instanceof HTMLInputElement },
    { caps: "← →", does: "the bar before and after", acts: { ArrowLeft: () => this.step(-1), ArrowRight: () => this.step(1) }, left: onRoving },
    { caps: "Home", does: "back to the start", acts: { Home: () => this.player.seek(0) }, left: onButton },
    // The key of "+" gives "=" without shift on many keyboards.
    { caps: "− +", does: "slower and faster", acts: { "-": () => this.faster(-step), "−": () => this.faster(-step), "+": () => this.faster(step), "=": () => this.faster(step) } },
    { caps: "L", does: "loop", acts: { l: () => this.setLoop(!this.player.settings.loop) } },
  ];

  /** frame is told the place in the music at every picture while playing; others are keys that the page has besides. */
  constructor(
    private readonly player: Player,
    private readonly frame: (at: number) => void,
    others: Pick<Keys, "caps" | "does">[] = [],
  ) {
    this.play = h("button", { type: "button", class: "main play", onclick: () => player.toggle(), disabled: true });
    this.where = h("output", { class: "where tabular", "aria-label": "Bar" });
    this.tempo = h("output", { class: "tempo tabular", "aria-label": "Tempo" });
    this.speed = h("select", { id: "speed", onchange: () => this.setSpeed(Number(this.speed.value)) });
    this.from = h("select", { "aria-label": "Loop from bar", onchange: () => this.setLoop(true) });
    this.to = h("select", { "aria-label": "Loop to bar", onchange: () => this.setLoop(true) });
    this.loop = h("button", { type: "button", class: "loop", "aria-pressed": "false", onclick: () => this.setLoop(!player.settings.loop) }, "Loop");
    this.practise = new Practise(player, this.tick("The loop gets faster each time", (on) => player.set({ climb: on })));
    this.practise.onChoice = () => this.onChoice();
    this.reach(false);
    this.element = h("div", { class: "transport", role: "group", "aria-label": "Playing" });
    const more = h("button", { type: "button", class: "plain more", "aria-expanded": "false", onclick: () => more.setAttribute("aria-expanded", String(this.element.classList.toggle("open"))) }, "More");
    this.element.append(
      h("div", { class: "transport-main" },
        h("button", { type: "button", class: "to-start", "aria-label": "Back to the start", title: "Back to the start (Home)", onclick: () => player.seek(0) }, icon(startShape)),
        this.play,
        this.where,
        more,
      ),
      h("div", { class: "pair speed", role: "group", "aria-label": "Speed" },
        h("button", { type: "button", "aria-label": "Slower", title: "Slower (−)", onclick: () => this.faster(-step) }, "−"),
        h("label", { class: "unseen", for: "speed" }, "Speed"), this.speed,
        h("button", { type: "button", "aria-label": "Faster", title: "Faster (+)", onclick: () => this.faster(step) }, "+"),
        this.tempo,
      ),
      h("div", { class: "pair loops", role: "group", "aria-label": "Loop" }, this.loop,
        h("span", { class: "pair ends" }, this.from, h("span", { "aria-hidden": "true" }, "to"), this.to)),
      h("div", { class: "often" },
        this.tick("Count-in", (on) => player.set({ countIn: on })),
        this.tick("Click", (on) => this.clicks(on, Number(this.clickLevel.value))),
      ),
      h("div", { class: "seldom" },
        this.bandTick,
        this.mixer(),
        this.practise.element,
        this.aloud(),
        ...viewChoices(() => this.onView()),
        h("dl", { class: "keys" }, ...[...this.keys, ...others].map((k) => h("div", {}, h("dt", {}, h("kbd", {}, k.caps)), h("dd", {}, k.does)))),
      ),
    );
    this.offerBand(false);
    player.onState = () => this.state();
    player.onStart = startFollowing;
    document.addEventListener("keydown", (e) => this.key(e));
    this.state();
  }

  /** The loop as bars of the performance, counted from 0; null for none. */
  get looped(): [number, number] | null {
    return this.player.settings.loop ? [Number(this.from.value), Number(this.to.value)] : null;
  }

  /** The first and last bar of the loop as they are numbered; null for none. */
  get loopedNumbers(): [number, number] | null {
    const [bars, looped] = [this.tab?.timing.bars, this.looped];
    return bars && looped ? [bars[looped[0]]!.number, bars[looped[1]]!.number] : null;
  }

  /** The speed in per cent. */
  get percent(): number {
    return Math.round(this.player.settings.rate * full);
  }

  /** Offers the speeds that there are: more where music is sounded from its notes. */
  reach(sounded: boolean): void {
    this.practise.reach(sounded);
    const was = this.speed.value;
    [this.low, this.high] = sounded ? [slowestSounded, fastestSounded] : [slowest, full];
    this.speed.replaceChildren(...speeds(this.low, this.high));
    if (this.percent < this.low || this.percent > this.high) this.setSpeed(Math.max(this.low, Math.min(this.high, this.percent)));
    else this.speed.value = was || String(this.percent);
  }

  /** Sets a speed in per cent; one that is none is left out. */
  setSpeed(percent: number): void {
    if (!(percent >= this.low && percent <= this.high)) return;
    this.player.set({ rate: percent / full });
    this.onChoice();
  }

  /** Loops bars of the performance. */
  setBars(first: number, last: number): void {
    const bars = this.tab?.timing.bars ?? [];
    if (!bars[first] || !bars[last]) return;
    this.from.value = String(first);
    this.to.value = String(last);
    this.setLoop(true);
  }

  private faster(by: number): void {
    this.setSpeed(Math.max(this.low, Math.min(this.high, this.percent + by)));
  }

  /** Shows the bars of a tab. */
  use(tab: Tab): void {
    const [from, to] = [this.from.value, this.to.value];
    this.tab = tab;
    this.beats = tab.timing.clicks.filter((c) => !c.part);
    for (const s of [this.from, this.to]) {
      s.replaceChildren(...tab.timing.bars.map((_, i) => h("option", { value: i }, barName(tab, i))));
    }
    this.from.value = from && Number(from) < tab.timing.bars.length ? from : "0";
    this.to.value = to && Number(to) < tab.timing.bars.length ? to : String(tab.timing.bars.length - 1);
    if (this.player.settings.loop) this.setLoop(true);
    this.state();
    this.draw();
  }

  private state(): void {
    const { playing, ready } = this.player;
    this.play.disabled = !ready;
    const label = playing ? "Pause" : ready ? "Play" : "Getting ready";
    this.play.replaceChildren(icon(playing ? pauseShape : playShape), label);
    this.play.title = "Space";
    this.loop.setAttribute("aria-pressed", String(this.player.settings.loop !== null));
    this.element.classList.toggle("looping", this.player.settings.loop !== null);
    this.element.classList.toggle("in-turns", this.player.settings.turns > 0);
    this.speed.value = String(this.percent);
    if (playing) requestAnimationFrame(this.animate);
    else this.draw();
  }

  private readonly animate = (): void => {
    if (!this.player.playing) return;
    this.draw();
    requestAnimationFrame(this.animate);
  };

  private draw(): void {
    if (!this.tab) return;
    const at = this.player.position();
    const bar = lastBefore(this.tab.timing.bars, at) ?? this.tab.timing.bars[0];
    const yours = this.player.yours && this.player.playing;
    const text = at < 0 ? "count-in" : bar ? `bar ${bar.number}${yours ? ", your turn" : ""}` : "";
    this.where.classList.toggle("yours", yours);
    const live = this.player.playing && kept(quiet) ? "off" : "polite";
    if (this.where.getAttribute("aria-live") !== live) this.where.setAttribute("aria-live", live);
    if (this.where.textContent !== text) this.where.textContent = text;
    const beats = Math.round(beatsPerMinute(this.beats, at) * this.player.settings.rate);
    const tempo = beats ? `${beats} beats/min` : "";
    if (this.tempo.textContent !== tempo) this.tempo.textContent = tempo;
    this.frame(Math.max(0, at));
  }

  private setLoop(on: boolean): void {
    const bars = this.tab?.timing.bars;
    if (!on || !bars) {
      this.player.set({ loop: null });
      this.onChoice();
      return;
    }
    let [a, b] = [Number(this.from.value), Number(this.to.value)];
    if (b < a) {
      [a, b] = [b, a];
      this.from.value = String(a);
      this.to.value = String(b);
    }
    this.player.set({ loop: [bars[a]!.at, bars[b]!.end] });
    this.onChoice();
  }

  /** Goes to the bar before or after. */
  step(by: number): void {
    const bars = this.tab?.timing.bars;
    if (!bars) return;
    const at = this.player.position();
    const now = bars.findLastIndex((b) => b.at <= at + 1e-3);
    // Back goes to the start of this bar first, as a turner of pages would.
    const here = bars[Math.max(0, now)];
    const back = by < 0 && here && at - here.at > 0.5 ? 0 : by;
    const to = bars[Math.max(0, Math.min(bars.length - 1, now + back))];
    if (to) this.player.seek(to.at);
  }

  private key(e: KeyboardEvent): void {
    if (typing(e)) return;
    const name = e.key.length === 1 ? e.key.toLowerCase() : e.key;
    const key = this.keys.find((k) => name in k.acts);
    if (!key || key.left?.(e)) return;
    key.acts[name]!();
    e.preventDefault();
  }

  private tick(name: string, change: (on: boolean) => void): HTMLElement {
    const box = h("input", { type: "checkbox", onchange: () => change(box.checked) });
    return h("label", { class: "pair" }, box, h("span", {}, name));
  }

  /** Whether a screen reader is told each bar that comes while music plays. */
  private aloud(): HTMLElement {
    const tick = this.tick("A screen reader says the bars while it plays", (on) => keep(quiet, on ? "" : "yes"));
    need<HTMLInputElement>("input", tick).checked = kept(quiet) === "";
    return tick;
  }

  private clicks(on: boolean, level: number): void {
    this.clicking = on;
    this.player.set({ click: on ? level ** 2 : 0 });
  }

  private playAlong(on: boolean, level: number): void {
    const first = on && !this.banding;
    this.banding = on;
    this.player.set({ band: on ? level ** 2 : 0 });
    if (first) this.onBand();
  }

  /** Whether the band is to be heard. */
  get wantsBand(): boolean {
    return this.banding;
  }

  /** Shows whether there is a band to play along with. */
  offerBand(there: boolean): void {
    this.bandTick.hidden = !there;
    this.bandVolume.hidden = !there;
  }

  /** How loud each is, folded away. */
  private mixer(): HTMLElement {
    const lead = this.slider("Instrument", 1, (v) => this.player.set({ lead: v ** 2 }));
    const drone = this.slider("Drone", 0, (v) => this.player.set({ drone: v }));
    return h("details", { class: "mixer" }, h("summary", {}, "Play along: how loud each is"),
      h("div", { class: "levels" }, lead, this.bandVolume, this.label("Click", this.clickLevel), drone));
  }

  private slider(name: string, value: number, change: (v: number) => void): HTMLElement {
    return this.label(name, this.range(value, change));
  }

  private label(name: string, slider: HTMLElement): HTMLElement {
    return h("label", { class: "pair" }, h("span", {}, name), slider);
  }

  private range(value: number, change: (v: number) => void): HTMLInputElement {
    const slider = h("input", { type: "range", min: 0, max: 1, step: 0.05, value, class: "volume", oninput: () => change(Number(slider.value)) });
    return slider;
  }
}

/** Whether a press belongs to what is pressed or unfolded by it. */
function onButton(e: KeyboardEvent): boolean {
  return e.target instanceof HTMLElement && e.target.closest("button, a, summary, [role=button], [tabindex='0']") !== null;
}

/** Arrow keys inside a row of tabs or notes belong to that row. */
function onRoving(e: KeyboardEvent): boolean {
  return e.target instanceof Element && e.target.closest("[role=tablist], [role=listbox], .shown-tab") !== null;
}

/** "5", or "5 (2nd time)" when the bar is played again. */
export function barName(tab: Tab, i: number): string {
  const bars = tab.timing.bars;
  const here = bars[i]!;
  const times = bars.slice(0, i).filter((b) => b.bar === here.bar).length;
  const nth = ["", " (2nd time)", " (3rd time)"][times] ?? ` (${times + 1}th time)`;
  return `${here.number}${nth}`;
}
