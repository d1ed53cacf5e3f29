// What a student's page offers besides playing: tuning up, the tab in words from
// bar to bar, and how to read a sheet, which is unfolded the first time.

import { h, need } from "./dom";
import type { Tab } from "./forms";
import { keep, kept } from "./kept";
import type { Looks } from "./looks";
import { pretty } from "./names";
import type { Player } from "./player";
import { Tone } from "./tone";
import { heardStrings, type StringEar } from "./tuner";
import { lastBefore } from "./when";

/** How long one string sounds when all are sounded in order, in milliseconds. */
const eachMs = 1600;

/** The tuner that listens, on the instrument that was shown last. */
let listener: Looks | null = null;

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
  const heard = ear && heardStrings(strings, ear);
  listener = heard?.looks ?? null;
  return h("details", { class: "tune-up" }, h("summary", {}, "Tune up"),
    h("div", { class: "tones" }, all, ...strings.map((s) => s.button)),
    ...(heard?.elements ?? []),
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
