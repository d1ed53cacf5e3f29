// The workbench for one tune: its sheet on one or two rigs, its sound, its text.

import type { AskedNote, CarriedTab, Placed, Text, TuneSettings } from "./forms";
import { Choices } from "./choices";
import { h, need } from "./dom";
import { NeckPicture } from "./neck";
import { describe, filesPanel, rankPanel, wordsPanel } from "./panels";
import { nothing, Player } from "./player";
import { seeSheets } from "./preview";
import { Setting } from "./setting";
import { Sheets } from "./sheets";
import { SteelPanel } from "./steelpanel";
import { ask, complain, Keeper, readState, tell } from "./site";
import { TuneText } from "./text";
import { inStep } from "./told";
import { Transport } from "./transport";
import { view } from "./view";
import { lastBefore } from "./when";

/** How many frets are drawn at the least for who plays, and for who writes. */
const playedFrets = 7;
const writtenFrets = 15;
/** How long a pick rests before the program is asked about it. */
const restMs = 120;

export function bench(): void {
  const first = readState();
  /** An address that answers about the sheet that is shown, unless the query names another revision. */
  const path = (what: string, query: Record<string, string> = {}): string =>
    `/tunes/${first.id}/${what}?${new URLSearchParams({ rig: setting.rig, revision: String(answer?.revision ?? keeper.state.revision), ...query })}`;
  const newest = (): { revision: string } => ({ revision: String(keeper.state.revision) });

  let answer: Placed | null = null;
  let neck: NeckPicture | null = null;
  let told: (at: number) => void = () => {};
  let asking = new AbortController();
  /** The answer whose sound is loaded. */
  let heard: Placed | null = null;
  let settling = 0;

  const keeper = new Keeper(first, (s) => {
    setting.extra = s.extra as TuneSettings;
    text.follow(s.body);
    need("h1").textContent = s.title;
    setting.show();
    show().catch(complain);
  });
  const setting = new Setting(first.extra as TuneSettings, (extra, why) => void keeper.save({ extra: { ...extra } }, why).catch(complain));
  const text = new TuneText(keeper, setting, () => path("file/tab.txt"));
  const choices = new Choices(setting, (n) => path("choices", { stroke: String(n) }));
  const sheets = new Sheets(picked);
  const player = new Player(nothing);
  const transport = new Transport(player, (at) => {
    sheets.show(at, player.playing);
    neck?.show(at);
    told(at);
  }, [
    { caps: "← → on the sheet", does: "the note before and after" },
    { caps: "Ctrl Z", does: "undo" },
    { caps: "Ctrl Y", does: "redo" },
  ]);
  transport.onView = () => {
    layNeck();
    // The same sheets with the strings the other way up: what sounds stays.
    void Promise.all([place(0, setting.rig, asking.signal), place(1, setting.beside, asking.signal)]).catch(complain);
  };
  transport.onBand = () => void join().catch(complain);
  const tellWords = wordsPanel(() => path("words"), (bars) => {
    if (answer) told = inStep(bars, answer.shown);
  });
  const links = filesPanel((file, query) => path(`file/${file}`, query), () => setting.rig);
  need("#see-sheet").addEventListener("click", () => seeSheets((query) => path("sheet", query)));
  rankPanel((one) => path("rank", { ...newest(), one }), (rig) => setting.choose(rig));

  const neckPlace = h("div", { class: "neck-place" });
  const steel = new SteelPanel(() => ask<CarriedTab>(path("carried")), due, (n) => neck?.hear(n));
  need("[data-player]").append(transport.element, neckPlace, steel.element);
  const writing = need<HTMLInputElement>("#writing");
  const touching = need<HTMLElement>(".touching");
  writing.addEventListener("change", layNeck);

  /** Places the tune on a rig and draws it; what can't be is said beside the sheet that was there. */
  async function place(i: number, rig: string, signal: AbortSignal): Promise<Placed | null> {
    sheets.hide(i, rig === "");
    if (rig === "") return null;
    try {
      let got: Placed;
      let low: boolean;
      do {
        low = view().flipped;
        got = await ask<Placed>(path("shown", { rig, ...newest(), ...(low ? { low: "1" } : {}) }), undefined, signal);
      } while (low !== view().flipped);
      sheets.draw(i, got, setting.beside !== "");
      if (got.trouble) sheets.refuse(i, got.trouble);
      return got;
    } catch (e) {
      if (!signal.aborted) sheets.refuse(i, e instanceof Error ? e.message : String(e));
      return null;
    }
  }

  /** Shows the tune on the chosen rigs as it is now. */
  async function show(): Promise<void> {
    asking.abort();
    asking = new AbortController();
    const signal = asking.signal;
    const [main] = await Promise.all([place(0, setting.rig, signal), place(1, setting.beside, signal)]);
    if (signal.aborted) return;
    answer = main ?? answer;
    links();
    if (!main) {
      // The sheet that stays keeps its sound.
      if (answer && !answer.blank && heard !== answer) await listen(answer, signal);
      return;
    }
    layNeck();
    steel.turn().catch(complain);
    transport.use(main.shown);
    describe(main);
    if (main.blank) {
      beginOnNeck();
      return;
    }
    tellWords();
    if (sheets.picked >= 0) offer();
    await listen(main, signal);
  }

  async function listen(main: Placed, signal: AbortSignal): Promise<void> {
    const res = await fetch(path("sound"), { signal });
    if (!res.ok) return complain(new Error("The sound could not be made; the sheet is right all the same."));
    const sound = await res.arrayBuffer();
    if (signal.aborted) return;
    await player.use(main.shown, sound);
    heard = main;
    await join();
  }

  /** Fetches the band once it is wanted; nothing comes for a tune without chords. */
  async function join(): Promise<void> {
    void player.join(null);
    transport.offerBand(answer?.shown.band === true);
    if (!transport.wantsBand || !answer?.shown.band) return;
    const res = await fetch(path("band"));
    await player.join(res.status === 200 ? await res.arrayBuffer() : null);
  }

  function offer(): void {
    choices.offer(sheets.picked, answer?.shown.strokes[sheets.picked]).catch(complain);
  }

  /** A stroke was picked: the sound is set to it, and what else could be played there is listed. */
  function picked(sheet: number, stroke: number): void {
    if (sheet !== 0) return;
    const time = answer?.shown.timing.strokes.find((s) => s.stroke === stroke);
    if (time) player.seek(time.at);
    window.clearTimeout(settling);
    settling = window.setTimeout(offer, restMs);
  }

  /** The stroke that is to sound: the one that does while the tune plays, else the one that is picked; below zero for none. */
  function due(): number {
    if (!player.playing) return sheets.picked;
    return lastBefore(answer?.shown.timing.strokes ?? [], player.position())?.stroke ?? -1;
  }

  /** Draws the neck; who writes on it needs more of it than who plays. */
  function layNeck(): void {
    if (!answer) return;
    neck = new NeckPicture(answer.shown, writing.checked ? writtenFrets : playedFrets);
    neck.onTouch = touched;
    neckPlace.replaceChildren(neck.element);
  }

  /** Brings what is needed for writing on the neck next to it. */
  function beginOnNeck(): void {
    if (!touching.classList.contains("by-neck")) {
      touching.classList.add("by-neck");
      writing.checked = true;
      neckPlace.after(touching);
    }
    layNeck();
  }

  /** Touching the neck asks for that string and fret at the picked stroke, or writes a note. */
  function touched(string: number, fret: number): void {
    if (writing.checked) {
      const length = need<HTMLSelectElement>("#length").value;
      const higher = Number(need<HTMLSelectElement>("#higher").value);
      ask<Text>("/tunes/note", { text: text.abc, rig: setting.rig, string, fret, length, higher } satisfies AskedNote)
        .then((got) => keeper.save({ body: got.text }, `a note on string ${string} at fret ${fret}`))
        .catch(complain);
    } else if (sheets.picked < 0) tell("Pick a note on the sheet first; then touch where it should be played.");
    else if (!choices.take(string, fret)) tell(`The picked note can't be played on string ${string} at fret ${fret}.`);
  }

  setting.show();
  if (new URLSearchParams(window.location.search).get("write") === "neck") beginOnNeck();
  show().catch(complain);
}
