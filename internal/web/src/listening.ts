// The page hears its student: open strings for tuning, and takes of the shown tab.
// All of it stays on the device.

import type { Core } from "./core";
import { h } from "./dom";
import type { Open } from "./forms";
import { offText } from "./offtext";
import { microphoneTrouble, Recorder } from "./recorder";
import { SteelNow } from "./steelnow";
import { type Played, Takes } from "./takes";
import { floats, lengthText } from "./takesound";
import { type LessonDigests, slug, takeFile } from "./savetake";
import { dayOf, type Take, type TakeShelf } from "./takeshelf";
import { joined } from "./wave";

/** The longest take, in seconds, and how long open strings are listened to. */
const mostSeconds = 600;
const stringSeconds = 8;
/** How the open strings can be meant to be tuned, and in words. */
const ways = [["equal", "equal"], ["just", "just to the open chord"], ["between", "between the two"]] as const;

const showWords = "Show me where the steel is";

/** Why this page can't hear, in a sentence; "" when it can. */
function whyNot(): string {
  return window.isSecureContext && "mediaDevices" in navigator ? "" : "Here the browser gives no microphone: it does so for pages that are opened from disk or come encrypted (https). A recording from elsewhere can be chosen.";
}

export class Listening {
  readonly element: HTMLDetailsElement;
  private readonly said: HTMLElement;
  private readonly take: HTMLButtonElement;
  private readonly strings: HTMLButtonElement;
  private readonly tuned: HTMLSelectElement;
  private readonly level: HTMLMeterElement;
  private readonly name: HTMLInputElement;
  private readonly takes: Takes;
  private readonly live: HTMLButtonElement;
  private readonly steel: SteelNow;
  private recorder: Recorder | null = null;

  /** shown gives the tab that is shown, as a take is of it; hush stops what sounds. */
  constructor(
    private readonly core: Core,
    shelf: TakeShelf,
    private readonly lesson: string,
    private readonly digests: () => Promise<LessonDigests>,
    private readonly shown: () => Played | null,
    private readonly hush: () => void,
  ) {
    this.said = h("div", { class: "own-said", role: "status" });
    this.takes = new Takes(core, shelf, (line) => this.tell(line), (take, name) => [this.saveButton(take, name)]);
    this.name = h("input", { type: "text", maxlength: 60, autocomplete: "off" });
    this.take = h("button", { type: "button", class: "main", onclick: () => void this.record(true) }, "Record a take");
    this.strings = h("button", { type: "button", onclick: () => void this.record(false) }, "Hear my open strings");
    this.tuned = h("select", {}, ...ways.map(([value, words]) => h("option", { value }, words)));
    this.level = h("meter", { min: 0, max: 1, low: 0.05, high: 0.9, optimum: 0.5, value: 0, hidden: true, "aria-label": "Level" });
    const file = h("input", { type: "file", accept: "audio/*", onchange: () => void this.bring(file) });
    this.live = h("button", { type: "button", class: "show-steel", onclick: () => void this.showSteel() }, showWords);
    this.steel = new SteelNow(core, () => {
      const of = this.shown();
      return of && { rig: of.rig, tab: of.tab, tuned: this.tuned.value };
    }, (e) => {
      this.live.textContent = showWords;
      this.fail(e);
    });
    const why = whyNot();
    if (why) this.tell(why);
    this.take.disabled = this.strings.disabled = this.live.disabled = why !== "";
    this.element = h("details", { class: "own listening" }, h("summary", {}, "Listen to me"),
      h("p", { class: "small soft" }, "What you play is heard here, on this device. Nothing is sent anywhere."),
      h("div", { class: "own-ways" }, h("label", {}, "My open strings are tuned ", this.tuned), h("label", {}, "A recording from elsewhere ", file), h("label", {}, "My first name, if a saved take is to have it ", this.name)),
      h("p", { class: "own-do" }, this.strings, this.live, this.take, this.level), this.steel.element, this.said, this.takes.shown, this.takes.list);
    this.element.addEventListener("toggle", () => void this.turn());
  }

  /** Another tab is shown: its takes are listed, when anybody looks. */
  async turn(): Promise<void> {
    const of = this.shown();
    if (!of || !this.element.open) return;
    await this.takes.side(of).catch((e: unknown) => this.fail(e));
  }

  /** Begins to hear a take or the open strings; asked again it ends and tells. */
  private async record(whole: boolean): Promise<void> {
    if (this.recorder) {
      await this.end(whole);
      return;
    }
    if (this.steel.on) await this.showSteel();
    this.hush();
    this.takes.clear();
    const button = whole ? this.take : this.strings;
    (whole ? this.strings : this.take).disabled = button.disabled = true;
    try {
      this.recorder = await Recorder.begin("", (seconds, peak) => {
        this.level.value = Math.max(peak, 0.95 * this.level.value);
        this.tell(whole ? `Recording: ${lengthText(seconds)}` : `Pluck one string after the other: ${Math.max(0, Math.ceil(stringSeconds - seconds))} s`);
        if (seconds >= (whole ? mostSeconds : stringSeconds) && this.recorder) void this.end(whole);
      });
      button.textContent = whole ? "Stop, and tell me" : "Stop";
      button.disabled = this.level.hidden = false;
    } catch (e) {
      this.take.disabled = this.strings.disabled = false;
      this.fail(microphoneTrouble(e));
    }
  }

  /** Shows where the steel is while it is played, or ends that. */
  private async showSteel(): Promise<void> {
    if (this.recorder) return;
    this.live.disabled = true;
    try {
      if (this.steel.on) await this.steel.end();
      else {
        this.hush();
        await this.steel.begin();
      }
    } catch (e) {
      this.fail(microphoneTrouble(e));
    } finally {
      this.live.disabled = false;
      this.live.textContent = this.steel.on ? "Stop" : showWords;
    }
  }

  private async end(whole: boolean): Promise<void> {
    const recorder = this.recorder!;
    this.recorder = null;
    this.take.textContent = "Record a take";
    this.strings.textContent = "Hear my open strings";
    this.level.hidden = this.take.disabled = this.strings.disabled = true;
    const { blocks, rate } = await recorder.end();
    await this.heard(whole, joined(blocks), rate);
  }

  /** Takes a recording that was made elsewhere. */
  private async bring(file: HTMLInputElement): Promise<void> {
    const given = file.files?.[0];
    if (!given) return;
    this.take.disabled = this.strings.disabled = true;
    const context = new AudioContext();
    try {
      this.tell("Reading…");
      const read = await context.decodeAudioData(await given.arrayBuffer());
      if (read.duration > mostSeconds) throw new Error(`“${given.name}” is ${lengthText(read.duration)} long, and a take may be ${mostSeconds / 60} minutes long.`);
      await this.heard(true, joined([read.getChannelData(0)]), read.sampleRate);
    } catch (e) {
      this.fail(e instanceof DOMException ? new Error(`“${given.name}” is no recording that this browser can read.`) : e);
    } finally {
      file.value = "";
      this.take.disabled = this.strings.disabled = whyNot() !== "";
      void context.close();
    }
  }

  private async heard(whole: boolean, samples: Int16Array<ArrayBuffer>, rate: number): Promise<void> {
    try {
      const of = this.shown();
      if (!of) return;
      if (whole) await this.takes.add(of, this.tuned.value, samples, rate);
      else {
        this.tell("Listening…");
        this.stand(await this.core.ask<Open>({ what: "strings", rig: of.rig, tuned: this.tuned.value }, floats(samples), rate));
      }
    } catch (e) {
      this.fail(e);
    } finally {
      this.take.disabled = this.strings.disabled = whyNot() !== "";
    }
  }

  /** Saves a take as a file for the teacher. */
  private saveButton(take: Take, called: string): HTMLElement {
    const button = h("button", { type: "button", "aria-label": `Save for my teacher: the take of ${called}`, onclick: () => {
      button.disabled = true;
      this.tell("Saving…");
      this.digests().then((of) => takeFile(take, of, this.name.value)).then((bytes) => {
        const at = URL.createObjectURL(new Blob([bytes], { type: "application/zip" }));
        const name = `${slug([this.lesson, this.name.value, dayOf(take)].join(" "))}.take.zip`;
        h("a", { href: at, download: name }).click();
        window.setTimeout(() => URL.revokeObjectURL(at), 60_000);
        this.tell(`Saved as ${name}. Send that file to your teacher.`);
      }).catch((e: unknown) => this.fail(e)).finally(() => { button.disabled = false; });
    } }, "Save for my teacher");
    return button;
  }

  private stand(open: Open): void {
    if (open.refused) this.tell(open.refused);
    else this.said.replaceChildren(h("ul", {}, ...open.strings.map((s) => h("li", {}, `String ${s.string}: ${s.cents === null ? "not heard" : offText(s.cents)}`))));
  }

  private fail(e: unknown): void {
    this.tell(e instanceof Error ? e.message : String(e));
  }

  private tell(line: string): void {
    this.said.replaceChildren(...(line ? [h("p", {}, line)] : []));
  }
}
