// The page hears its student: open strings for tuning, and a take of the shown tab.
// Both stay on the device. Recording is by a script node, since a page that was opened
// from disk is given no worklet.

import type { Core } from "./core";
import { h } from "./dom";
import type { Open, Review, ReviewDrill, ScreenSheet, Tab } from "./forms";
import type { TabText } from "./live";
import { paper } from "./sheets";

/** The longest take, in seconds, and how long open strings are listened to. */
const mostSeconds = 600;
const stringSeconds = 8;
const blockSize = 4096;

/** Why this page can't hear, in a sentence; "" when it can. */
function whyNot(): string {
  return window.isSecureContext && "mediaDevices" in navigator ? "" : "Here the browser gives no microphone: it does so for pages that are opened from disk or come encrypted (https).";
}

/** What the microphone hears until it is stopped: one channel, as it comes. */
class Hearing {
  private readonly blocks: Float32Array[] = [];
  seconds = 0;
  /** Told after every block how long it has heard. */
  onBlock: () => void = () => {};

  private constructor(
    private readonly context: AudioContext,
    private readonly stream: MediaStream,
  ) {
    const node = context.createScriptProcessor(blockSize, 1, 1);
    node.onaudioprocess = (e) => {
      this.blocks.push(e.inputBuffer.getChannelData(0).slice());
      this.seconds += blockSize / context.sampleRate;
      this.onBlock();
    };
    context.createMediaStreamSource(stream).connect(node);
    node.connect(context.destination); // which it leaves silent; else no block comes
  }

  static async begin(): Promise<Hearing> {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 } });
    const context = new AudioContext();
    await context.resume();
    return new Hearing(context, stream);
  }

  async end(): Promise<{ samples: Float32Array<ArrayBuffer>; rate: number }> {
    for (const t of this.stream.getTracks()) t.stop();
    const rate = this.context.sampleRate;
    await this.context.close();
    const samples = new Float32Array(this.blocks.length * blockSize);
    this.blocks.forEach((b, i) => samples.set(b, i * blockSize));
    return { samples, rate };
  }
}

export class Listening {
  readonly element: HTMLElement;
  private readonly said: HTMLElement;
  private readonly take: HTMLButtonElement;
  private readonly strings: HTMLButtonElement;
  private hearing: Hearing | null = null;

  /** shown gives the tab that is shown and its text; hush stops what sounds. */
  constructor(
    private readonly core: Core,
    private readonly shown: () => { tab: Tab; text: TabText } | null,
    private readonly hush: () => void,
  ) {
    this.said = h("div", { class: "own-said", role: "status" });
    this.take = h("button", { type: "button", class: "main", onclick: () => void this.record(true) }, "Record a take");
    this.strings = h("button", { type: "button", onclick: () => void this.record(false) }, "Hear my open strings");
    const why = whyNot();
    if (why) this.tell(why);
    this.take.disabled = this.strings.disabled = why !== "";
    this.element = h("details", { class: "own listening" }, h("summary", {}, "Listen to me"),
      h("p", { class: "small soft" }, "What you play is heard here, on this device. Nothing is sent anywhere."),
      h("p", { class: "own-do" }, this.strings, this.take), this.said);
  }

  /** Begins to hear a take or the open strings; asked again it ends and tells. */
  private async record(whole: boolean): Promise<void> {
    if (this.hearing) {
      await this.end(whole);
      return;
    }
    this.hush();
    try {
      const hearing = await Hearing.begin();
      this.hearing = hearing;
      const button = whole ? this.take : this.strings;
      (whole ? this.strings : this.take).disabled = true;
      button.textContent = whole ? "Stop, and tell me" : "Stop";
      hearing.onBlock = () => {
        this.tell(whole ? `Recording: ${Math.floor(hearing.seconds)} s` : `Pluck one string after the other: ${Math.max(0, Math.ceil(stringSeconds - hearing.seconds))} s`);
        if (hearing.seconds >= (whole ? mostSeconds : stringSeconds) && this.hearing) void this.end(whole);
      };
    } catch (e) {
      this.tell(e instanceof DOMException && e.name === "NotAllowedError" ? "The browser was told not to give the microphone. Allow it for this page." : String(e));
    }
  }

  private async end(whole: boolean): Promise<void> {
    const hearing = this.hearing!;
    this.hearing = null;
    this.take.textContent = "Record a take";
    this.strings.textContent = "Hear my open strings";
    this.take.disabled = this.strings.disabled = true;
    try {
      const { samples, rate } = await hearing.end();
      const now = this.shown();
      if (!now) return;
      this.tell("Listening…");
      const { rig, tab } = now.text;
      if (whole) this.reviewed(await this.core.ask<Review>({ what: "review", rig, tab, tuned: "equal" }, samples, rate), rig);
      else this.tuned(await this.core.ask<Open>({ what: "strings", rig, tuned: "equal" }, samples, rate));
    } catch (e) {
      this.tell(e instanceof Error ? e.message : String(e));
    } finally {
      this.take.disabled = this.strings.disabled = false;
    }
  }

  private tuned(open: Open): void {
    if (open.refused) this.tell(open.refused);
    else this.said.replaceChildren(h("ul", {}, ...open.strings.map((s) => h("li", {}, `String ${s.string}: ${s.cents === null ? "not heard" : offText(s.cents)}`))));
  }

  private reviewed(r: Review, rig: string): void {
    const count = (status: string): number => r.notes.filter((n) => n.status === status).length;
    const note = (n: Review["notes"][number]): string =>
      `Bar ${n.bar}, string ${n.string}, fret ${n.fret}: ${n.status === "played" && n.cents !== null ? offText(n.cents) + (n.steelMM === null ? "" : `, the steel ${Math.abs(n.steelMM).toFixed(1)} mm ${n.steelMM < 0 ? "short" : "far"}`) : n.status}`;
    this.said.replaceChildren(
      h("p", {}, `${count("played")} of ${r.notes.length} notes were played, ${count("missed")} missed, ${r.extra.length} more than are written.`),
      ...(r.advice.length ? [h("ul", {}, ...r.advice.map((a) => h("li", {}, (a.bars.length ? `Bar ${a.bars.join(", ")}: ` : "") + a.text, a.drill && this.exercise(a.drill, rig))))] : []),
      h("details", {}, h("summary", {}, "Note by note"), h("ol", { class: "heard-notes" }, ...r.notes.map((n) => h("li", {}, note(n))))));
  }

  /** An exercise, drawn when it is opened. */
  private exercise(drill: ReviewDrill, rig: string): HTMLElement {
    const box = h("details", {}, h("summary", {}, `Exercise: ${drill.title}`), h("p", { class: "small soft" }, `From ${drill.start} to ${drill.target} beats a minute.`));
    box.addEventListener("toggle", () => {
      this.core.ask<ScreenSheet>({ what: "sheet", rig, tab: drill.tab }).then((s) => box.append(paper(s.narrow)), (e: unknown) => box.append(String(e)));
    }, { once: true });
    return box;
  }

  private tell(line: string): void {
    this.said.replaceChildren(h("p", {}, line));
  }
}

/** How far a pitch is off, in words. */
function offText(cents: number): string {
  if (Math.abs(cents) < 1) return "in tune";
  return `${Math.abs(cents).toFixed(0)} cents ${cents > 0 ? "sharp" : "flat"}`;
}
