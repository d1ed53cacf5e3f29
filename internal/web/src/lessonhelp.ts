// What a student's page offers besides playing: tuning up, the tab in words from
// bar to bar, and how to read a sheet, which is unfolded the first time.

import { Superseded } from "./core";
import { h, need } from "./dom";
import type { Open, Tab } from "./forms";
import { keep, kept } from "./kept";
import { Looks } from "./looks";
import { pretty } from "./names";
import { needles, show } from "./needles";
import type { Player } from "./player";
import { whyNot } from "./recorder";
import { Tone } from "./tone";
import { lastBefore } from "./when";

/** How much of the sound a tuner looks at each time, in seconds, and how long it rests, in milliseconds. */
const lookSeconds = 1.2;
const restMs = 120;
/** How long one string sounds when all are sounded in order, in milliseconds. */
const eachMs = 1600;

/** The tuner that listens, on the instrument that was shown last. */
let listener: Looks | null = null;

/** Hears how open strings stand; hush stops what else sounds. */
export interface StringEar {
  capture: string;
  /** Null when there is no time for it just now. */
  ask: (blocks: Float32Array[], rate: number) => Promise<Open | null>;
  hush: () => void;
}

/** The strings, heard live, a needle each. */
function heardStrings(strings: { number: number; name: string }[], ear: StringEar): HTMLElement[] {
  const rows = needles(strings);
  rows.hidden = true;
  const said = h("p", { class: "small", role: "status" });
  const label = "Listen to my strings";
  const looks = new Looks(ear.capture, lookSeconds, async (blocks, rate) => {
    try {
      show(rows, (await ear.ask(blocks, rate))?.strings ?? []);
    } catch (e) {
      if (!(e instanceof Superseded)) throw e;
    }
  }, (e) => { said.textContent = e instanceof Error ? e.message : String(e); }, restMs);
  listener = looks;
  looks.onEnd = () => { button.textContent = label; };
  const button = h("button", { type: "button", onclick: () => {
    ear.hush();
    said.textContent = "";
    void looks.toggle().then((on) => {
      if (!on) return;
      rows.hidden = false;
      button.textContent = "Stop listening";
      said.textContent = "Pluck one string after the other. Nothing is sent anywhere.";
    });
  } }, label);
  const why = whyNot();
  button.disabled = why !== "";
  said.textContent = why;
  return [h("p", { class: "own-do" }, button), said, rows];
}

/** Sounds the open strings by name, from the lowest string up, and hears them where the page can. */
export function tuneUp(tab: Tab, ear: StringEar | null): HTMLElement {
  void listener?.stop();
  listener = null;
  const tone = new Tone();
  let next = 0;
  const strings = tab.neck.open
    .map((name, i) => ({ name: pretty(name), hz: tab.neck.hz[i]!, number: i + 1 }))
    .reverse()
    .map((s) => {
      const sound = (): void => {
        window.clearTimeout(next);
        tone.sound(s.hz);
      };
      return { ...s, button: h("button", { type: "button", onclick: sound }, `String ${s.number}: ${s.name}`) };
    });
  const from = (k: number): void => {
    const s = strings[k];
    for (const t of strings) t.button.classList.toggle("sounding", t === s);
    if (!s) return;
    tone.sound(s.hz);
    next = window.setTimeout(() => from(k + 1), eachMs);
  };
  const all = h("button", { type: "button", class: "main", onclick: () => (window.clearTimeout(next), from(0)) }, "All in order");
  return h("details", { class: "tune-up" }, h("summary", {}, "Tune up"),
    h("div", { class: "tones" }, all, ...strings.map((s) => s.button)),
    ...(ear ? heardStrings(strings, ear) : []),
    h("p", { class: "small soft" }, "Tune slowly up to each note, with the capo off. A string that feels tighter than it should before it is there was made for another note: go no further, and ask your teacher."));
}

/** Buttons from bar to bar; each says which strings and frets come, and goes there. */
export function barByBar(tab: Tab, section: HTMLElement, player: Player): HTMLElement[] {
  const lines = [...section.querySelectorAll<HTMLElement>(".told li")];
  const said = h("p", { class: "this-bar", role: "status" });
  const go = (by: number): void => {
    const { bars } = tab.timing;
    const now = bars.indexOf(lastBefore(bars, player.position()) ?? bars[0]!);
    const to = bars[Math.max(0, Math.min(bars.length - 1, said.textContent ? now + by : now))];
    if (!to) return;
    player.seek(to.at);
    said.textContent = lines[to.bar]?.textContent ?? "";
  };
  return [
    h("button", { type: "button", onclick: () => go(-1) }, "Bar before"),
    h("button", { type: "button", onclick: () => go(1) }, "Bar after"),
    said,
  ];
}

/** Where how to read stands beside the sheet, as in lesson.css. */
const beside = "(min-width: 82rem)";

/**
 * Tells how to read the first time that a device shows a lesson: all of it where
 * it stands beside the sheet, and where it would push the sheet away, the least.
 */
export function tellOnce(help: HTMLElement): void {
  const name = "has read how";
  const first = kept(name) === "";
  const room = window.matchMedia(beside).matches;
  need<HTMLDetailsElement>(".reading", help).open = first && room;
  need<HTMLElement>(".hint", help).hidden = !first || room;
  keep(name, "yes");
}
