// A student's takes on a lesson's page: each reviewed on the sheet and heard from any note, and all of
// the shown tab side by side.

import { type Core, Superseded } from "./core";
import { h } from "./dom";
import type { Along, HeardTake, ReviewDrill, ScreenSheet, TakesCompared } from "./forms";
import { drawSheet, paper, sheetPlaces, sheetsOf } from "./sheets";
import { lengthText, SampleSound } from "./takesound";
import { dayOf, type Take, TakeShelf } from "./takeshelf";
import { TakeView } from "./takeview";
import { view } from "./view";

/** What a take is of. */
export interface Played {
  rig: string;
  tab: string;
  layout: string;
  title: string;
  bars: [number, number] | null;
  speed: number;
  grade: string;
  /** What sounded while it was recorded; absent for nothing. */
  along?: Along;
}

export class Takes {
  /** The takes side by side, and the one that is looked at. */
  readonly list = h("div", { class: "takes" });
  readonly shown = h("div", { class: "take-shown" });
  private sound: SampleSound | null = null;
  private looked = "";

  constructor(
    private readonly core: Core,
    private readonly shelf: TakeShelf,
    private readonly tell: (line: string) => void,
    /** What can be done with a take beside looking at it. */
    private readonly more: (take: Take, name: string) => HTMLElement[] = () => [],
  ) {}

  /** Hears a take, keeps it and shows it. */
  async add(of: Played, tuned: string, samples: Int16Array<ArrayBuffer>, rate: number): Promise<void> {
    this.tell("Listening…");
    const heard = await this.ask(of, tuned, samples, rate);
    const take = await this.shelf.add({ ...of, tuned, rate, seconds: samples.length / rate, played: Date.now(), figures: heard.figures }, samples);
    this.tell(this.shelf.keeps ? "" : "This browser keeps nothing: your takes are here until the page is closed.");
    this.show(take, samples, heard);
    await this.side(of);
    this.shown.scrollIntoView({ block: "start" });
  }

  /** Shows the takes of a tab side by side. */
  async side(of: { rig: string; tab: string }): Promise<void> {
    const takes = (await this.shelf.all()).filter((t) => t.rig === of.rig && t.tab === of.tab);
    if (this.shelf.newer) this.tell("A newer page of this lesson has kept takes here: they are left as they are.");
    if (takes.length === 0) {
      this.list.replaceChildren();
      return;
    }
    const compared = await this.again<TakesCompared>(() => this.core.ask({ what: "takes", takes: takes.map((t) => ({ ...t.figures, label: dayOf(t) })) }));
    const head = ["Take", "Played", "Off, middle", "Out of time, middle", "Quarters a minute"].map((t) => h("th", { scope: "col" }, t));
    const rows = [...takes.entries()].reverse().flatMap(([i, t]) => {
      const c = compared.takes[i]!;
      const figures = c.judged ? [c.notes, c.off, c.late, c.tempo].map((v) => h("td", {}, v)) : [h("td", { colspan: 4 }, "could not be judged")];
      const name = `${timeOf(t)}, ${barsOf(t)}, ${t.speed} %`;
      return [
        h("tr", { class: `one-take${t.id === this.looked ? " looked-at" : ""}` }, h("th", { scope: "row" }, name), ...figures),
        h("tr", { class: "take-do" }, h("td", { colspan: 5 }, h("div", { class: "own-do" }, ...this.doing(t, name)))),
      ];
    });
    this.list.replaceChildren(
      h("h3", {}, "Takes side by side"),
      h("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Table of takes" }, h("table", {}, h("thead", {}, h("tr", {}, ...head)), h("tbody", {}, ...rows))),
      ...(takes.some((t) => !t.sounds) ? [h("p", { class: "small soft" }, `${this.shelf.keeps ? "This device keeps" : "This page holds"} ${this.shelf.minutes} minutes of a lesson's sound: of older takes the figures are left.`)] : []),
      ...(compared.picture
        ? [h("h3", {}, "By string and region"), h("p", { class: "small soft" }, "Cents off in the middle of each take's notes; nearer the line is better, the band is what is heard as in tune."), h("div", { class: "paper progress-picture", tabindex: 0, role: "region", "aria-label": "Progress by string and region" }, ...paper(compared.picture).childNodes)]
        : []));
  }

  /** An exercise, drawn when it is opened. */
  private exercise(drill: ReviewDrill, says: string, rig: string): HTMLElement {
    const box = h("details", { class: "drill" }, h("summary", {}, `Exercise: ${drill.title}`), h("p", { class: "small soft" }, says));
    box.addEventListener("toggle", () => {
      this.again(() => this.core.ask<ScreenSheet>({ what: "sheet", rig, tab: drill.tab })).then((s) => box.append(...sheetsOf(s)), (e: unknown) => box.append(String(e)));
    }, { once: true });
    return box;
  }

  /** The buttons of one take. */
  private doing(t: Take, name: string): HTMLElement[] {
    const look = h("button", { type: "button", disabled: !t.sounds, "aria-label": `Look at the take of ${name}`, onclick: () => this.look(t).catch((e: unknown) => this.fail(e)) }, "Look");
    const remove = h("button", { type: "button", class: "plain", "aria-label": `Delete the take of ${name}`, onclick: () => {
      if (remove.dataset["sure"] === undefined) {
        remove.dataset["sure"] = "";
        remove.textContent = "Delete it for good";
        remove.removeAttribute("aria-label");
        return;
      }
      if (this.looked === t.id) this.clear();
      this.shelf.remove(t.id).then(() => this.side(t)).catch((e: unknown) => this.fail(e));
    } }, "Delete");
    return [look, ...(t.sounds ? this.more(t, name) : []), remove];
  }

  private async look(t: Take): Promise<void> {
    this.tell("Listening…");
    const samples = await this.shelf.soundOf(t);
    if (!samples) throw new Error("The sound of this take is kept no more.");
    const heard = await this.ask(t, t.tuned, samples, t.rate);
    this.tell("");
    this.show(t, samples, heard);
    await this.side(t);
    this.shown.scrollIntoView({ block: "start" });
  }

  private fail(e: unknown): void {
    this.tell(e instanceof Error ? e.message : String(e));
  }

  private ask(of: Pick<Played, "rig" | "tab" | "layout" | "along">, tuned: string, samples: Int16Array<ArrayBuffer>, rate: number): Promise<HeardTake> {
    const { rig, tab, layout, along } = of;
    return this.again(() => this.core.ask<HeardTake>({ what: "review", rig, tab, layout, tuned, stringOneLow: view().flipped, ...(along ? { along } : {}) }, samples, rate));
  }

  /** Asks until it is answered: what the page itself asks meanwhile comes first. */
  private async again<T>(ask: () => Promise<T>): Promise<T> {
    for (;;) {
      try {
        return await ask();
      } catch (e) {
        if (!(e instanceof Superseded)) throw e;
        await new Promise((go) => window.setTimeout(go, 200));
      }
    }
  }

  /** Shows nothing any more. */
  clear(): void {
    this.sound?.end();
    this.sound = null;
    this.looked = "";
    this.shown.replaceChildren();
  }

  private show(take: Take, samples: Int16Array, heard: HeardTake): void {
    this.clear();
    this.looked = take.id;
    const sound = new SampleSound(samples, take.rate);
    this.sound = sound;
    const head = [h("h3", {}, "As you played"), h("p", { class: "soft" }, [`${timeOf(take)}`, take.title, barsOf(take), lengthText(take.seconds), heard.summary].filter((s) => s).join(" · "))];
    if (!heard.sheet) {
      this.shown.replaceChildren(...head, h("p", { class: "alarm" }, heard.refused ?? ""), sound.element);
      return;
    }
    const { notes, advice } = heard.review;
    const line = (i: number): HTMLElement => {
      const at = (notes[i]!.onset ?? 0).toFixed(2);
      return h("li", {}, notes[i]!.onset === null ? h("span", { class: "no-time" }) : h("button", { type: "button", "data-from": at, "data-at": i }, `${at} s`), h("span", {}, heard.told[i]!));
    };
    const root = h("section", { class: "take-view", "aria-label": "As you played" }, ...head,
      ...(advice.length ? [h("section", { "aria-labelledby": "practise" }, h("h4", { id: "practise" }, "What to practise"),
        h("ol", { class: "advice" }, ...advice.map((a, i) => h("li", {}, h("p", {}, a.text), a.drill ? this.exercise(a.drill, heard.drills[i]!, take.rig) : null))),
        heard.caution ? h("p", { class: "small soft caution" }, heard.caution) : null)] : []),
      h("div", { class: "take-player" }, sound.element, h("p", { class: "this-note", role: "status" }, "Tap a note to hear your take from there.")),
      ...sheetPlaces(),
      h("ul", { class: "signs" }, ...heard.marks.map((m) => h("li", {}, h("span", { class: `sign ${m.class}`, "aria-hidden": "true" }, m.mark), ` ${m.means}`)), h("li", {}, "Heights are cents from where the tab has the note, over the time of the sheet.")),
      h("details", { class: "notes" }, h("summary", {}, "Every note in words"), h("ol", {}, ...heard.told.map((_, i) => line(i)))),
      h("h4", {}, "How the strings stand"), h("p", {}, heard.strings));
    this.shown.replaceChildren(root);
    void drawSheet(root, heard.sheet);
    new TakeView(root, sound);
  }
}

/** Day and time. */
function timeOf(t: Take): string {
  const d = new Date(t.played);
  return `${dayOf(t)} ${String(d.getHours()).padStart(2, "0")}:${String(d.getMinutes()).padStart(2, "0")}`;
}

/** "bars 3 to 4", or "all bars". */
function barsOf(t: Take): string {
  if (!t.bars) return "all bars";
  return t.bars[0] === t.bars[1] ? `bar ${t.bars[0]}` : `bars ${t.bars[0]} to ${t.bars[1]}`;
}
