// The page that a student opens from disk: one tune on one or several rigs, to
// read, hear, loop and slow down. It uses no network; the instrument, speed and
// loop that were chosen stand in its address and are kept on the device.

import { goOn, wasText } from "./again";
import { type Chosen, Choices } from "./lessonchoices";
import { Core, Program, Superseded } from "./core";
import { Cursor } from "./cursor";
import { h, need } from "./dom";
import { littleRoom, NeckPicture } from "./neck";
import type { Asked, ScreenSheet, SteelTime, Tab } from "./forms";
import { whenNewer } from "./kept";
import { LandOn } from "./landon";
import { Listening } from "./listening";
import { Live, type TabText } from "./live";
import { OwnInstrument, restOf, sectionOf } from "./own";
import { Player } from "./player";
import { barByBar, tellOnce, tuneUp } from "./lessonhelp";
import { Metronome } from "./metronome";
import { TooLong } from "./recorded";
import { decode, plainText, unpackIn } from "./packed";
import { digest } from "./savetake";
import { TakeShelf } from "./takeshelf";
import { touch } from "./touch";
import { addSheet, drawIn, drawSheet, missingIn, sheetsOf } from "./sheets";
import { inStep } from "./told";
import { Transport } from "./transport";
import type { StringEar } from "./tuner";
import { othersFirst, painted, Turns } from "./turns";
import { keepLesson } from "./hosted";
import { usually, view } from "./view";
import { lastBefore } from "./when";

const parts = JSON.parse(plainText(need("#lesson")) || "[]") as Tab[];
const sections = [...document.querySelectorAll<HTMLElement>("section.rig")];
/** What a part is remembered by: its instrument, and what of the lesson it has there. */
const nameOf = (p: Tab): string => p.rig + (p.part ? ` ${p.part}` : "");
const buttons = [...document.querySelectorAll<HTMLButtonElement>(".rig-choice button")];
let list = document.querySelector<HTMLSelectElement>(".rig-choice select");
const help = need<HTMLElement>(".help");
const holder = document.querySelector<HTMLElement>(".player");

/** The layout of sheets with pictures of necks. */
const withNecks = "grips";
/** How long music waits for its sound before it moves without. */
const patienceMs = 1500;
/** Where the worklet that records lies; a page from disk is given none. */
const capture = window.location.protocol === "file:" ? "" : (need<HTMLElement>("main").dataset["capture"] ?? "");
/** How often the rest of the page is looked for. */
const lookMs = 100;

/**
 * The compressed sound that stands in the page as base64, behind this script:
 * on a slow line it comes long after the sheets. Null when there is none.
 */
async function soundOf(i: number): Promise<ArrayBuffer | null> {
  return sections[i]?.dataset["sound"] === undefined ? null : bytesOf(`sound-${i}`);
}

/** The bytes that an element behind this script holds. */
async function bytesOf(id: string): Promise<ArrayBuffer | null> {
  const came = await held(id);
  if (!came || came instanceof ArrayBuffer) return came;
  const turns = new Turns();
  const bytes: Uint8Array<ArrayBuffer>[] = [];
  for (const piece of came) {
    bytes.push(decode(piece));
    await turns.step();
  }
  return new Blob(bytes).arrayBuffer();
}

/** What stands as base64 in an element, piece by piece; each can be read by itself. */
function* piecesOf(e: HTMLElement): Iterable<string> {
  for (const piece of e.children) yield piece.textContent ?? "";
}

/** What stands as base64 in an element behind this script, or what is in a file beside the page; null when it never comes. */
async function held(id: string): Promise<ArrayBuffer | Iterable<string> | null> {
  for (;;) {
    const held = document.getElementById(id);
    const file = held?.dataset["file"];
    if (file) return beside(file);
    const whole = document.readyState !== "loading";
    // It is whole when something stands behind it. The text stands in pieces, between which a browser can do other things.
    if (held && (whole || held.nextElementSibling)) return piecesOf(held);
    if (whole) return null;
    await new Promise((go) => window.setTimeout(go, lookMs));
  }
}

/** A file beside the page does not come. */
class NotBeside extends Error {}

/** What stands in a file beside the page. */
async function beside(file: string): Promise<ArrayBuffer> {
  if (window.location.protocol === "file:") throw new NotBeside("This page is made for the web: opened from disk it can't bring its sound.");
  const came = await fetch(file).catch(() => null);
  if (!came?.ok) throw new NotBeside(`“${file}” does not come from where the page lies.`);
  return came.arrayBuffer();
}

/** The lesson as the core takes it; "" when the page has none. */
let carried = "";

interface Cores {
  asked: Core;
  live: Live;
}

/** The core that the page carries, one worker for questions and one for sound; null when it has none. */
function cores(): Cores | null {
  const script = document.getElementById("core-script")?.textContent;
  if (!script || !carried) return null;
  const program = new Program(async () => {
    const packed = await held("core");
    if (!packed) throw new Error("The page has come without its program; open it whole.");
    return packed;
  }, () => Promise.resolve(script), carried);
  const start = (): Promise<Worker> => program.start();
  return { asked: new Core(start), live: new Live(start) };
}

interface CarriedText extends TabText {
  layout?: string;
  stringOneLow?: boolean;
  leftHanded?: boolean;
}

let carries: { instruments?: CarriedText[]; block?: string; wishes?: { grade: string } } = {};
/** The instruments and tabs as texts that the core takes, in the page's order. */
let texts: CarriedText[] = [];
let grade = "";

/** Reads what the page carries for the core: it stands packed, and unpacking it takes a stretch of its own. */
function readCarried(): void {
  carried = [...document.querySelectorAll<HTMLElement>("#carried")].map(plainText).join("");
  carries = JSON.parse(carried || "{}") as typeof carries;
  texts = carries.instruments ?? [];
  grade = carries.wishes?.grade ?? "";
  usually({ flipped: texts.some((t) => t.stringOneLow), left: texts.some((t) => t.leftHanded) });
}

const { keep } = need<HTMLElement>("main").dataset;
if (keep && holder) void keepLesson(keep, (line) => holder.before(line));
// A page that was sent by itself has its sheets for paper behind all else; it is offered at the head.
document.addEventListener("DOMContentLoaded", () => {
  const paper = document.querySelector("footer a[download]");
  if (paper) need("header .soft").append(" ", paper);
});

const first = parts[0];
if (first && holder) void othersFirst().then(readCarried).then(othersFirst).then(() => start(first, holder));
else {
  readCarried();
  showOnly(0);
  for (const s of sections) void drawIn(s, unpackIn(s));
}

/** Whether a sheet has string 1 at the bottom. */
function lowIn(i: number): boolean {
  const turned = sections[i]?.dataset["low"];
  return turned === undefined ? (texts[i]?.stringOneLow ?? false) : turned === "true";
}

/** Whether a sheet's pictures of necks are a left-handed player's; one without such pictures is as it is wanted. */
function leftIn(i: number): boolean {
  if (texts[i]?.layout !== withNecks) return view().left;
  const turned = sections[i]?.dataset["left"];
  return turned === undefined ? (texts[i]?.leftHanded ?? false) : turned === "true";
}

/** How to read is told of the sheet that is shown. */
function tellOrder(i: number): void {
  for (const e of help.querySelectorAll(".string-one")) e.textContent = lowIn(i) ? "at the bottom" : "on top";
}

function showOnly(i: number): void {
  const choice = document.querySelector<HTMLElement>(".rig-choice");
  if (choice) choice.hidden = false;
  sections.forEach((s, k) => (s.hidden = k !== i));
  buttons.forEach((b, k) => b.setAttribute("aria-pressed", String(k === i)));
  if (list) list.value = String(i);
}

/** Offers the student's own instrument beside the others; the first makes the row. */
function offerOwn(i: number, title: string, choose: (i: number) => void): void {
  const name = `Mine: ${title}`;
  let row = document.querySelector<HTMLElement>(".rig-choice");
  const add = (k: number, name: string): void => {
    buttons[k] = h("button", { type: "button", "aria-pressed": "false", onclick: () => choose(k) }, name);
    list!.before(buttons[k]!);
    list!.append(h("option", { value: k }, name));
  };
  if (!row) {
    list = h("select", { "aria-label": "Instrument", onchange: () => choose(Number(list!.value)) });
    row = h("div", { class: "rig-choice", role: "group", "aria-label": "Instrument" }, list);
    add(0, parts[0]!.title);
    need(".player").before(row);
  }
  if (!buttons[i]) add(i, name);
  else {
    buttons[i]!.textContent = name;
    list!.options[i]!.textContent = name;
  }
}

/** Paper has the instrument that is shown, or all of the lesson's. */
function printChoice(drawAll: () => void): HTMLElement {
  const box = h("input", { type: "checkbox", onchange: () => {
    if (box.checked) drawAll();
    document.body.classList.toggle("print-all", box.checked);
  } });
  return h("label", { class: "pair" }, box, h("span", {}, "Print all instruments"));
}

/** Does something when the page has been painted and rests. */
function soon(what: () => void): void {
  if ("requestIdleCallback" in window) window.requestIdleCallback(what, { timeout: 1000 });
  else setTimeout(what, 200);
}

/** Has the page play, in steps between which it does what else waits; it is offered when all is there. */
async function start(tab: Tab, holder: HTMLElement): Promise<void> {
  const core = cores();
  const choices = new Choices(need<HTMLElement>("main").dataset["lesson"] ?? "", need("h1").textContent ?? "");
  const { asked, was } = choices;
  let wanted = asked.speed; // more speeds are there when the program is
  let drawn = asked.glides; // and glides that are drawn out
  const player = new Player(tab);
  let shown = 0;
  let cursor: Cursor | null = null;
  let neck: NeckPicture | null = null;
  let listening: Listening | null = null;
  let tell: (at: number) => void = () => {};
  let landOn: LandOn | null = null;
  const transport = new Transport(player, (at) => {
    cursor?.show(at, player.playing);
    neck?.show(at);
    tell(at);
    const { bars } = parts[shown]!.timing;
    choices.at(Math.max(0, bars.indexOf(lastBefore(bars, at) ?? bars[0]!)));
  });
  const place = document.createElement("div");
  place.className = "neck-place";
  const note = document.createElement("p");
  note.className = "alarm note";
  note.setAttribute("role", "status");
  note.hidden = true;
  if (parts.length > 1) need(".keys", transport.element).before(printChoice(() => sections.forEach((_, i) => void open(i))));
  holder.append(transport.element, place, note);

  const say = (words: string): void => {
    note.textContent = words;
    note.hidden = false;
  };
  player.onSilence = (silent) => {
    if (silent) say("This device gives no sound just now. The steel moves all the same.");
    else note.hidden = true;
  };
  /** The way of the steel with glides drawn out, and what it is of. */
  let slow: { of: string; steel: SteelTime[] } | null = null;
  const slowOf = (): string => (player.settings.glides > 1 && player.sounds ? `${shown} ${texts[shown]!.rig} ${player.settings.glides} ${player.settings.rate}` : "");
  const layNeck = (): void => {
    const p = parts[shown]!;
    neck = new NeckPicture(slow && slow.of === slowOf() ? { ...p, timing: { ...p.timing, steel: slow.steel } } : p);
    neck.show(Math.max(0, player.position()));
    place.replaceChildren(neck.element);
  };
  /** Has the picture of the neck follow glides that are drawn out. */
  const drawOut = async (): Promise<void> => {
    const of = slowOf();
    if (of === (slow?.of ?? "")) return;
    if (!of || !core) slow = null;
    else if (!core.asked.idle) {
      window.setTimeout(() => void drawOut(), lookMs); // what else is asked goes first
      return;
    } else {
      const { rig, tab } = texts[shown]!;
      const steel = await core.asked.ask<SteelTime[]>({ what: "steel", rig, tab, glides: player.settings.glides, speed: player.settings.rate }).catch(() => null);
      if (!steel || of !== slowOf()) return;
      slow = { of, steel };
    }
    layNeck();
  };
  /** Whether the program that the page carries is at work here, and whether that is still to be seen. */
  let living = false;
  let coming = core !== null;
  /** Has an instrument sounded from its notes, where that can be. */
  const sounded = (i: number): void => {
    const text = texts[i];
    player.notes = core && living && text ? core.live.of(text) : null;
    transport.offerBand(player.sounds ? parts[i]!.band === true : sections[i]!.dataset["band"] !== undefined);
  };
  if (core) {
    core.live.onPreparing = (done) => {
      if (done === null) note.hidden = true;
      else say(`This device is slow at sounding: it makes the bars to be heard first. ${Math.round(100 * Math.min(1, done))} % are made.`);
    };
    core.live.onFailed = (why) => {
      living = coming = false;
      player.recorded = null;
      sounded(shown);
      transport.reach(false);
      say(`Here the strings can't be sounded: ${why} ${sections[shown]?.dataset["sound"] === undefined ? "The steel moves all the same." : "The recording plays in their place."}`);
      void use(shown);
    };
    // The sheet is shown first.
    soon(() => void core.live.warm().then(() => {
      living = true;
      coming = false;
      note.hidden = true; // what could not be played is sounded
      transport.reach(true);
      sounded(shown);
      if (wanted) transport.setSpeed(wanted);
      if (drawn) transport.practise.setGlides(drawn);
      soon(() => void rehearse(core));
    }, () => {
      coming = false;
      void player.recorded?.(); // without the program the recording plays
    }));
  }
  /** Runs for nobody what will be asked of the program, beginning with what sounds. */
  const rehearse = async ({ asked, live }: Cores): Promise<void> => {
    const text = texts[shown]!;
    await live.rehearse(text);
    while (!live.idle) await new Promise((go) => window.setTimeout(go, lookMs));
    await asked.rehearse({ what: "place", rig: text.rig });
  };
  /** What hears an instrument's open strings, where the page can. */
  const ear = (i: number): StringEar | null => {
    const text = texts[i];
    if (!core || !text) return null;
    return { core: core.asked, capture, of: () => ({ rig: text.rig, tuned: "equal" }), hush };
  };
  const hush = (): void => { if (player.playing) player.pause(); };
  const use = async (i: number): Promise<void> => {
    const p = parts[i];
    const section = sections[i];
    if (!p || !section) return;
    shown = i;
    showOnly(i);
    cursor = null;
    void open(i).then(() => {
      if (shown !== i || sections[i] !== section) return;
      cursor = new Cursor(p, section);
      cursor.show(Math.max(0, player.position()), player.playing);
      void turn(i);
    });
    tell = inStep([...section.querySelectorAll<HTMLElement>(".told li")], p);
    layNeck();
    tellOrder(i);
    need(".tuning", help).replaceChildren(tuneUp(p, ear(i)));
    note.hidden = true;
    transport.use(p);
    sounded(i);
    void player.join(null);
    void listening?.turn();
    landOn?.turn();
    player.recorded = null;
    if (coming && !player.sounds) {
      let once: Promise<void> | null = null;
      player.recorded = () => (once ??= record(i, true)); // decoded, it takes much of a slow device's time
      await player.use(p, null);
    } else if (player.sounds) await player.use(p, null);
    else await record(i, false);
  };
  /** Brings the recording of an instrument; waits says that the page has been ready without it. */
  const record = async (i: number, waits: boolean): Promise<void> => {
    const p = parts[i]!;
    const gone = (): boolean => shown !== i || player.sounds;
    const bring = (sound: ArrayBuffer | null): Promise<void> => {
      if (waits && sound) return player.bring(sound);
      player.recorded = null;
      return player.use(p, sound);
    };
    void bandOf(i);
    const came = soundOf(i);
    try {
      const soon = await Promise.race([came, new Promise<"late">((go) => window.setTimeout(() => go("late"), patienceMs))]);
      if (gone()) return;
      await bring(soon === "late" ? null : soon);
      if (soon !== "late") return;
      say("The sound is still on its way. The steel moves already.");
      const late = await came;
      if (shown !== i) return;
      if (late && !player.sounds) await player.bring(late);
      note.hidden = true;
    } catch (e) {
      if (gone()) return;
      if (e instanceof NotBeside) say(`${e.message} The steel moves all the same.`);
      else if (e instanceof TooLong) say(`${e.message} The steel moves, and the clicks sound.`);
      else say(`This browser can't play the sound kept in the page: the steel moves, and the clicks sound.${document.querySelector(".files a") ? " The sound file beside the page plays elsewhere." : ""}`);
      if (waits || e instanceof NotBeside) await bring(null);
    }
  };
  /** Brings the band that the page holds for an instrument; where music is sounded from its notes the band is, too. */
  const bandOf = async (i: number): Promise<void> => {
    const name = player.sounds ? undefined : sections[i]?.dataset["band"];
    const band = name === undefined ? null : await bytesOf(name).catch(() => null);
    if (band && shown === i) await player.join(band).catch((e: unknown) => {
      transport.offerBand(false);
      if (e instanceof TooLong) say(`${e.message} The band does not play along here.`);
    });
  };
  const choose = (i: number): void => {
    void use(i);
    choices.keep(p => ({ ...p, instrument: nameOf(parts[i]!) }));
  };
  transport.onView = () => {
    layNeck();
    void turn(shown);
  };
  window.matchMedia(littleRoom).addEventListener("change", layNeck);
  transport.onChoice = () => {
    const { turns, glides } = player.settings;
    choices.keep((p) => ({ ...p, speed: transport.percent, loop: transport.looped, turns, glides }));
    void drawOut();
  };
  buttons.forEach((b, i) => b.addEventListener("click", () => choose(i)));
  list?.addEventListener("change", () => choose(Number(list!.value)));
  tellOnce(help);
  const outfit = (i: number): void => {
    const section = sections[i]!;
    need(".by-bar", section).replaceChildren(...barByBar(parts[i]!, section, player));
    need<HTMLElement>(".by-bar", section).hidden = false;
  };
  const touched = (i: number, part = sections[i]!): void => touch(part, parts[i]!, {
    start: (at) => player.seek(at),
    loop: (first, last) => transport.setBars(first, last),
    looping: () => transport.looped,
  });
  const opened = new WeakMap<HTMLElement, Promise<void>>();
  /** Has an instrument's sheets stand in the page, to be touched and printed: what stands packed in it, or what the program has drawn. */
  const open = (i: number, drawn: ScreenSheet | null = null): Promise<void> => {
    const section = sections[i]!;
    const was = opened.get(section);
    if (was) return was;
    const done = (drawn ? drawSheet(section, drawn) : drawIn(section, unpackIn(section))).then(() => touched(i));
    opened.set(section, done);
    return done;
  };
  const askedSheet = (text: CarriedText, low: boolean, left: boolean): Asked => ({ what: "sheet", rig: text.rig, tab: text.tab, layout: text.layout ?? "", stringOneLow: low, ...(text.layout === withNecks ? { leftHanded: left } : {}) });
  /** Has a sheet that was drawn for this kind of window drawn for the other too, while nothing else is asked. */
  const complete = async (i: number): Promise<void> => {
    const [text, section] = [texts[i], sections[i]!];
    await opened.get(section);
    for (;;) {
      await new Promise<void>(soon);
      const missing = missingIn(section);
      if (!core || !text || !missing || sections[i] !== section) return;
      if (!core.asked.idle) {
        await new Promise((go) => window.setTimeout(go, lookMs));
        continue;
      }
      try {
        const place = await addSheet(section, await core.asked.ask<ScreenSheet>({ ...askedSheet(text, lowIn(i), leftIn(i)), window: missing }));
        if (!place || sections[i] !== section) return;
        if (shown === i) cursor?.find(place);
        touched(i, place);
        return;
      } catch (e) {
        if (!(e instanceof Superseded)) return; // the sheet that is there goes on being shown
      }
    }
  };
  /** Draws a sheet with the strings in the order that this device has chosen. */
  const turn = async (i: number): Promise<void> => {
    const [text, section] = [texts[i], sections[i]!];
    const { flipped: low, left } = view();
    if (!core || !text || (low === lowIn(i) && left === leftIn(i))) return;
    try {
      const sheet = await core.asked.ask<ScreenSheet>(askedSheet(text, low, left));
      if (view().flipped !== low || view().left !== left || sections[i] !== section) return;
      section.dataset["low"] = String(low);
      section.dataset["left"] = String(left);
      need(".narrow-sheet", section).remove();
      need(".wide-sheet", section).replaceWith(...sheetsOf(sheet));
      delete section.dataset["only"];
      touched(i);
      if (shown !== i) return;
      tellOrder(i);
      cursor = new Cursor(parts[i]!, section);
      cursor.show(Math.max(0, player.position()), false);
    } catch (e) {
      if (e instanceof Superseded) window.setTimeout(() => void turn(i), lookMs);
      else say(`The sheet can't be turned over here: ${e instanceof Error ? e.message : String(e)}`);
    }
  };
  await othersFirst();
  sections.forEach((_, i) => outfit(i));
  /** What stands below the sheets, which come first. */
  const below = (core: Cores): void => {
    /** The part of the page that a tune is being placed in, and the one whose place it takes. */
    let laid: { i: number; section: HTMLElement; before: HTMLElement | undefined; low: boolean; drawn: Promise<void> } | null = null;
    const own = new OwnInstrument(core.asked, {
      drawn: (sheet, checked, low) => {
        const section = sectionOf(checked);
        let i = sections.findIndex((s) => s.dataset["own"] !== undefined);
        if (i < 0) i = sections.length;
        const before = sections[i];
        if (before) before.replaceWith(section);
        else sections[i - 1]!.after(section);
        sections[i] = section;
        cursor = null;
        showOnly(i); // so that what is drawn is laid out line by line
        laid = { i, section, before, low, drawn: drawSheet(section, sheet) };
        opened.set(section, laid.drawn);
      },
      placed: async (made) => {
        if (!laid) return;
        const { i, section, low, drawn } = laid;
        await drawn; // the sheet comes before all that goes with it
        laid = null;
        parts[i] = made.placed.shown;
        texts[i] = { rig: made.rig, tab: made.tab, stringOneLow: low };
        living = true; // it has just placed a tune
        transport.reach(true);
        if (!section.hidden) shown = i;
        await painted();
        section.append(...restOf(made));
        offerOwn(i, made.placed.shown.title, choose);
        touched(i);
        outfit(i);
        if (shown === i) choose(i);
        void complete(i);
      },
      givenUp: () => {
        if (!laid) return;
        const { i, section, before } = laid;
        laid = null;
        if (before) section.replaceWith(before);
        else section.remove();
        sections.splice(i, 1, ...(before ? [before] : []));
        void use(shown);
        if (before) void complete(i);
      },
    });
    listening = new Listening(core.asked, capture, new TakeShelf(choices.name), need("h1").textContent ?? "", async () => ({ lesson: await digest(carried), block: carries.block ?? "" }), () => {
      const text = texts[shown];
      return text ? { rig: text.rig, tab: text.tab, layout: text.layout ?? "", title: parts[shown]!.title, bars: transport.loopedNumbers, speed: transport.percent, grade } : null;
    }, hush, (n) => neck?.hear(n), player);
    landOn = new LandOn(core.asked, capture, () => {
      const text = texts[shown];
      return text ? { tab: parts[shown]!, text } : null;
    }, hush);
    sections.at(-1)!.after(new Metronome().element);
    sections.at(-1)!.after(landOn.element);
    sections.at(-1)!.after(listening.element);
    sections.at(-1)!.after(own.element);
  };
  await othersFirst();
  holder.hidden = false;
  const placeOf = (name: string | undefined): number => parts.findIndex((p) => nameOf(p) === name);
  void use(Math.max(0, placeOf(asked.instrument)));
  if (core) void othersFirst().then(() => below(core));
  if (asked.speed) transport.setSpeed(asked.speed);
  if (asked.loop) transport.setBars(...asked.loop);
  if (asked.turns) transport.practise.setTurns(asked.turns);
  // What the address asks for holds; then only the place is left to go back to.
  const { instrument, speed, loop, turns, glides, bar }: Chosen = Object.keys(asked).length ? { ...(was.bar ? { bar: was.bar } : {}) } : was;
  const last = Math.max(0, placeOf(instrument ?? asked.instrument));
  const said = wasText({ speed, loop, turns, glides, bar }, parts[last]!, placeOf(instrument) >= 0 && parts.length > 1);
  if (said) holder.before(goOn(said, () => {
    if (last !== shown) choose(last);
    if (speed) transport.setSpeed(wanted = speed);
    if (loop) transport.setBars(...loop);
    if (turns) transport.practise.setTurns(turns);
    if (glides && living) transport.practise.setGlides(glides);
    else drawn = glides;
    player.seek(parts[last]!.timing.bars[bar ?? 0]?.at ?? 0);
  }));
  whenNewer(() => holder.before(h("p", { class: "small soft kept-newer" }, "A newer page keeps things on this device in a form that this page doesn't know. They are left alone, and this page remembers its own only while it is open.")));
}
