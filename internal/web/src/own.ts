// A student's own instrument on a lesson's page: chosen from those that are built
// in, described in a form or brought as a file, told what its strings ask of it before a tune is placed
// on it, and kept on the device for every lesson.

import { type Core, NotAnswered, Superseded } from "./core";
import { h } from "./dom";
import { account, facts, wrote } from "./facts";
import type { Asked, AskedInstrument, CheckedInstrument, InstrumentFile, Instruments, OnInstrument, ScreenSheet } from "./forms";
import { keep, kept } from "./kept";
import { OwnForm } from "./ownform";
import { pretty } from "./names";
import { view } from "./view";
import { kindOfWindow, sheetPlaces } from "./sheets";

const keptAs = "own instrument";
/** What stood in the form, to go on from. */
const formKeptAs = "own instrument's form";
/** The largest file that can be an instrument's, in bytes. */
const maxFile = 64 << 10;

/** What has a tune that is placed on an instrument stand in the page. */
interface Placing {
  /** The sheet is drawn; all else is still to come. */
  drawn(sheet: ScreenSheet, checked: CheckedInstrument, stringOneLow: boolean): void;
  /** The tune lies on the instrument. */
  placed(made: OnInstrument): Promise<void>;
  /** Nothing more comes: the page is as it was before. */
  givenUp(): void;
}

export class OwnInstrument {
  readonly element: HTMLElement;
  private readonly choice: HTMLSelectElement;
  private readonly said: HTMLElement;
  private readonly place: HTMLButtonElement;
  private readonly save: HTMLButtonElement;
  private readonly describe: HTMLDetailsElement;
  private form: OwnForm | null = null;
  private files: InstrumentFile[] = [];
  private checked: CheckedInstrument | null = null;

  constructor(
    private readonly core: Core,
    private readonly page: Placing,
  ) {
    this.choice = h("select", { id: "own-choice", onchange: () => void this.choose(this.files[this.choice.selectedIndex - 1]?.rig ?? "") }, h("option", {}, "Choose…"));
    this.said = h("div", { class: "own-said", role: "status" });
    this.place = h("button", { type: "button", class: "main", disabled: true, onclick: () => void this.lay() }, "Play it on this instrument");
    this.save = h("button", { type: "button", hidden: true, onclick: () => this.download() }, "Save as a file");
    const file = h("input", { type: "file", id: "own-file", accept: ".toml,text/plain", onchange: () => void this.bring(file) });
    this.describe = h("details", { class: "own-describe" }, h("summary", {}, "Describe it"));
    const box = h("details", { class: "own" }, h("summary", {}, "On my own instrument"),
      h("p", { class: "small soft" }, "The tune is placed on your instrument here, on this device. Nothing is sent anywhere."),
      h("div", { class: "own-ways" },
        h("label", { for: "own-choice" }, "One that is built in ", this.choice),
        h("label", { for: "own-file" }, "An instrument's file ", file)),
      this.describe,
      this.said,
      h("p", { class: "own-do" }, this.place, this.save));
    box.addEventListener("toggle", () => { if (box.open) void this.open(); });
    this.element = box;
  }

  /** Lists the instruments, and finds the one that the device has kept. */
  private async open(): Promise<void> {
    if (this.files.length > 0) return;
    this.tell("Getting ready…");
    try {
      const known = await this.core.ask<Instruments>({ what: "instruments" });
      this.files = known.instruments;
      const form = new OwnForm(known, (asked) => void this.described(asked));
      this.form = form;
      this.describe.append(form.element);
      const once = kept(formKeptAs);
      if (once) form.fill(JSON.parse(once) as Partial<AskedInstrument>);
      for (const f of this.files) this.choice.append(h("option", {}, `${f.title}: ${pretty(f.tuning)}`));
      this.tell();
      const was = kept(keptAs);
      if (was) await this.choose(was);
    } catch (e) {
      this.fail(e);
    }
  }

  private async bring(file: HTMLInputElement): Promise<void> {
    const given = file.files?.[0];
    if (!given) return;
    if (given.size > maxFile) {
      this.tell(`“${given.name}” is too large to be an instrument's file.`);
      return;
    }
    this.choice.selectedIndex = 0;
    await this.choose(await given.text());
  }

  /** Looks at an instrument that stands in a file. */
  private async choose(rig: string): Promise<void> {
    if (rig) await this.look({ what: "instrument", rig });
    else {
      this.forget();
      this.tell();
    }
  }

  /** Looks at what stands in the form. */
  private async described(form: AskedInstrument): Promise<void> {
    keep(formKeptAs, JSON.stringify(form));
    await this.look({ what: "form", form });
  }

  /** Looks at an instrument: what its strings ask of it comes before any sheet. */
  private async look(question: Asked): Promise<void> {
    this.forget();
    try {
      const c = await this.core.ask<CheckedInstrument>(question);
      this.checked = c;
      keep(keptAs, c.rig);
      const i = this.files.findIndex((f) => f.rig === c.rig);
      this.choice.selectedIndex = i + 1;
      this.form?.fail([]);
      this.told(c);
      this.place.disabled = false;
      this.save.hidden = i >= 0;
    } catch (e) {
      if (question.what === "form" && e instanceof NotAnswered) {
        const rest = this.form!.fail(e.faults);
        this.tell(...rest.map((f) => f.text));
      } else this.fail(e);
    }
  }

  private forget(): void {
    this.checked = null;
    this.place.disabled = true;
    this.save.hidden = true;
  }

  /** Says what an instrument is and what its strings ask of it. */
  private told(c: CheckedInstrument, ...first: string[]): void {
    this.tell(...first, `${c.title}: ${pretty(c.tuning)}.`, ...c.doubts.map((d) => d.text), ...loadOf(c));
    if (c.strings.length === 0) {
      this.said.append(h("p", { class: "soft" }, "Its gauges are not known: nothing is said of the tension of its strings."));
      return;
    }
    const head = ["String", "Open", "Gauge", "Tension"].map((t) => h("th", { scope: "col" }, t));
    const rows = c.strings.map((s) => h("tr", {}, h("th", { scope: "row" }, String(s.number)), h("td", {}, pretty(s.open)), h("td", {}, s.short), h("td", {}, s.tension, s.finding === "fine" ? null : h("span", { class: "alarm" }, ` ${s.finding}`))));
    this.said.append(h("details", { class: "own-strings" }, h("summary", {}, `All strings together: ${c.load}`),
      h("table", {}, h("thead", {}, h("tr", {}, ...head)), h("tbody", {}, ...rows))));
  }

  private async lay(): Promise<void> {
    const c = this.checked;
    if (!c) return;
    this.place.disabled = true;
    this.told(c, `Placing the tune on ${c.title}…`);
    try {
      const stringOneLow = view().flipped;
      const made = await this.core.place<OnInstrument>({ what: "place", rig: c.rig, stringOneLow, window: kindOfWindow() }, (sheet) => this.page.drawn(sheet, c, stringOneLow));
      await this.page.placed(made);
      this.told(c);
    } catch (e) {
      this.page.givenUp();
      this.fail(e);
    } finally {
      this.place.disabled = this.checked === null;
    }
  }

  private download(): void {
    if (!this.checked) return;
    const at = URL.createObjectURL(new Blob([this.checked.rig], { type: "text/plain" }));
    h("a", { href: at, download: "my-instrument.toml" }).click();
    window.setTimeout(() => URL.revokeObjectURL(at), 10_000);
  }

  private fail(e: unknown): void {
    if (e instanceof Superseded) return;
    if (e instanceof NotAnswered) this.tell(...e.faults.map((f) => (f.line ? `Line ${f.line}: ${f.text}` : f.text)));
    else this.tell(e instanceof Error ? e.message : String(e));
  }

  private tell(...lines: string[]): void {
    this.said.replaceChildren(...lines.map((l) => h("p", {}, l)));
  }
}

/** What the strings ask of an instrument, in lines; none where all is fine. */
export function loadOf(c: CheckedInstrument): string[] {
  if (c.finding === "fine") return [];
  const word = c.finding === "do not" ? "Do not tune it so." : "Take care.";
  return [`${word} ${c.reasons.join(". ")}`, c.caution];
}

/** The part of the page for a tune on an instrument that the page was not made for; its sheets are still to be drawn in it, and the rest to come. */
export function sectionOf(checked: CheckedInstrument): HTMLElement {
  return h("section", { class: "rig", hidden: true, "data-own": true, "aria-label": checked.title },
    h("h2", {}, checked.title),
    ...loadOf(checked).map((l) => h("p", { class: "alarm" }, l)),
    ...sheetPlaces());
}

/** What stands in that part behind its sheets. */
export function restOf(made: OnInstrument): HTMLElement[] {
  const { about } = made.placed;
  return [
    h("details", { class: "in-words" }, h("summary", {}, "In words, bar by bar"),
      h("div", { class: "by-bar", hidden: true }),
      ...made.inWords.head.map((l) => h("p", {}, l)),
      h("ol", { class: "told" }, ...made.inWords.bars.map((l) => h("li", {}, l)))),
    h("dl", { class: "about-rig" }, ...facts(about, false).map(([name, value]) => h("div", {}, h("dt", {}, name), h("dd", {}, value)))),
    ...account(about).map((l) => h("p", { class: "small" }, l)),
    ...(about.compromises.length
      ? [h("h3", {}, "Where this instrument can't play what is written"),
        h("ul", { class: "compromises" }, ...about.compromises.map((c) => h("li", {}, wrote(c))))]
      : []),
  ];
}
