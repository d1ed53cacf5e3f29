// The page hears its student: takes of the shown tab.
// All of it stays on the device.

import type { Core } from "./core";
import { h } from "./dom";
import { along } from "./along";
import { DelayMeasure, keptDelay, playAlongBox } from "./delay";
import type { Along, Now } from "./forms";
import type { Player } from "./player";
import { Recorder, whyNot } from "./recorder";
import { SteelNow } from "./steelnow";
import { type Played, Takes } from "./takes";
import { lengthText } from "./takesound";
import { type LessonDigests, slug, takeFile } from "./savetake";
import { dayOf, type Take, type TakeShelf } from "./takeshelf";
import { tunedChoice } from "./tuner";
import { channelOf, gathered } from "./wave";
import { waveFile, type ReadSound } from "./wavefile";

/** The longest take, in seconds. */
const mostSeconds = 600;
export class Listening {
  readonly element: HTMLDetailsElement;
  private readonly said: HTMLElement;
  private readonly take: HTMLButtonElement;
  private readonly tuned: HTMLSelectElement;
  private readonly level: HTMLMeterElement;
  private readonly name: HTMLInputElement;
  private readonly takes: Takes;
  private readonly steel: SteelNow;
  private readonly delay: DelayMeasure;
  private readonly along: HTMLInputElement;
  private recorder: Recorder | null = null;
  private busy = false;

  /** shown gives the tab that is shown, as a take is of it; hush stops what sounds; marked is told where the steel is. */
  constructor(
    core: Core,
    /** Where the worklet that records lies; "" where there is none. */
    private readonly capture: string,
    private readonly shelf: TakeShelf,
    private readonly lesson: string,
    private readonly digests: () => Promise<LessonDigests>,
    private readonly shown: () => Played | null,
    private readonly hush: () => void,
    marked: (n: Now | null) => void,
    /** What sounds to be played along with. */
    private readonly music: Pick<Player, "shared" | "since" | "play">,
  ) {
    this.said = h("div", { class: "own-said", role: "status" });
    this.takes = new Takes(core, shelf, (line) => this.tell(line), (take, name) => [this.saveButton(take, name)]);
    this.name = h("input", { type: "text", maxlength: 60, autocomplete: "off" });
    this.take = h("button", { type: "button", class: "main", onclick: () => void this.record() }, "Record a take");
    this.tuned = tunedChoice();
    this.level = h("meter", { min: 0, max: 1, low: 0.05, high: 0.9, optimum: 0.5, value: 0, hidden: true, "aria-label": "Level" });
    const file = h("input", { type: "file", accept: "audio/*", onchange: () => void this.bring(file) });
    this.steel = new SteelNow(core, {
      capture,
      of: () => {
        const of = this.shown();
        return of && { rig: of.rig, tab: of.tab, tuned: this.tuned.value };
      },
      before: () => {
        if (this.recorder) throw new Error("A take is being recorded: stop that first.");
        this.hush();
      },
      failed: (e) => this.fail(e),
      heard: marked,
    });
    this.delay = new DelayMeasure(core, capture, async () => {
      if (this.recorder) throw new Error("A take is being recorded: stop that first.");
      if (this.steel.on) await this.steel.toggle();
      this.hush();
    });
    this.along = h("input", { type: "checkbox" });
    const why = whyNot();
    if (why) this.tell(why);
    this.take.disabled = this.steel.button.disabled = this.delay.disabled = why !== "";
    this.element = h("details", { class: "own listening" }, h("summary", {}, "Listen to me"),
      h("p", { class: "small soft" }, "What you play is heard here, on this device. Nothing is sent anywhere."),
      h("div", { class: "own-ways" }, h("label", {}, "My open strings are tuned ", this.tuned), h("label", {}, "A recording from elsewhere ", file), h("label", {}, "My first name, if a saved take is to have it ", this.name)),
      playAlongBox(this.delay),
      h("p", { class: "own-do" }, this.steel.button, this.take, h("label", { class: "pair" }, this.along, h("span", {}, "start the music with it")), this.level), this.steel.element, this.said, this.takes.shown, this.takes.list);
    this.element.addEventListener("toggle", () => void this.turn());
  }

  /** Another tab is shown: its takes are listed, when anybody looks. */
  async turn(): Promise<void> {
    const of = this.shown();
    if (!of || !this.element.open) return;
    await this.takes.side(of).catch((e: unknown) => this.fail(e));
  }

  /** Begins to record; asked again it ends and tells. */
  private async record(): Promise<void> {
    if (this.recorder) {
      await this.end();
      return;
    }
    if (this.busy) return;
    if (this.steel.on) await this.steel.toggle();
    this.hush();
    this.takes.clear();
    this.rest(true);
    try {
      this.recorder = await Recorder.begin(this.capture, (seconds, peak) => {
        this.level.value = Math.max(peak, 0.95 * this.level.value);
        this.tell(`Recording: ${lengthText(seconds)}`);
        if (seconds >= mostSeconds && this.recorder) void this.end();
      }, undefined, await this.music.shared());
      this.recorder.gone = (why) => {
        if (this.recorder) void this.end().then(() => this.tell(`${why.message} The take ends there. ${this.said.textContent}`.trim()));
      };
      this.recorder.mark();
      if (this.along.checked) this.music.play();
      this.take.textContent = "Stop, and tell me";
      this.level.hidden = false;
    } catch (e) {
      this.fail(e);
    } finally {
      this.rest(false);
    }
  }

  /** Whether nothing can be recorded just now. The button keeps the focus, which one that is disabled would lose. */
  private rest(busy: boolean): void {
    this.busy = busy;
    this.take.setAttribute("aria-disabled", String(busy));
  }

  private async end(): Promise<void> {
    const recorder = this.recorder!;
    this.recorder = null;
    this.take.textContent = "Record a take";
    this.level.hidden = true;
    this.rest(true);
    const { blocks, rate, first } = await recorder.end();
    const rounds = first === null ? [] : this.music.since(first);
    this.hush();
    await this.heard(await gathered(blocks), rate, rounds.length > 0 ? along(rounds, keptDelay()) : null);
  }

  /** Takes a recording that was made elsewhere. */
  private async bring(file: HTMLInputElement): Promise<void> {
    const given = file.files?.[0];
    if (!given) return;
    if (this.busy) return;
    this.rest(true);
    try {
      this.tell("Reading…");
      const read = (await waveFile(given)) ?? (await decoded(given));
      if (read.seconds > mostSeconds) throw new Error(`“${given.name}” is ${lengthText(read.seconds)} long, and a take may be ${mostSeconds / 60} minutes long.`);
      await this.heard(await read.samples(), read.rate);
    } catch (e) {
      this.fail(e instanceof DOMException ? new Error(`“${given.name}” is no recording that this browser can read.`) : e);
    } finally {
      file.value = "";
      this.rest(false);
    }
  }

  private async heard(samples: Int16Array<ArrayBuffer>, rate: number, along: Along | null = null): Promise<void> {
    try {
      const of = this.shown();
      if (of) await this.takes.add({ ...of, ...(along ? { along } : {}) }, this.tuned.value, samples, rate);
    } catch (e) {
      this.fail(e);
    } finally {
      this.rest(false);
    }
  }

  /** Saves a take as a file for the teacher. */
  private saveButton(take: Take, called: string): HTMLElement {
    return h("button", { type: "button", "aria-label": `Save for my teacher: the take of ${called}`, onclick: () => {
      this.tell("Saving…");
      Promise.all([this.digests(), this.shelf.soundOf(take)]).then(([of, samples]) => {
        if (!samples) throw new Error("The sound of this take is kept no more.");
        return takeFile(take, samples, of, this.name.value);
      }).then((bytes) => {
        const at = URL.createObjectURL(new Blob([bytes], { type: "application/zip" }));
        const name = `${slug([this.lesson, this.name.value, dayOf(take)].join(" "))}.take.zip`;
        h("a", { href: at, download: name }).click();
        window.setTimeout(() => URL.revokeObjectURL(at), 60_000);
        this.tell(`Saved as ${name}. Send that file to your teacher.`);
      }).catch((e: unknown) => this.fail(e));
    } }, "Save for my teacher");
  }

  private fail(e: unknown): void {
    this.tell(e instanceof Error ? e.message : String(e));
  }

  private tell(line: string): void {
    this.said.replaceChildren(...(line ? [h("p", {}, line)] : []));
  }
}

/** What the browser reads of a recording. */
async function decoded(given: Blob): Promise<ReadSound> {
  const context = new AudioContext();
  try {
    const read = await context.decodeAudioData(await given.arrayBuffer());
    return { rate: read.sampleRate, seconds: read.duration, samples: () => channelOf(read, 0) };
  } finally {
    void context.close();
  }
}
