// What is asked of a tune's tab: each wish once, with how its field on the page
// shows it, what the field's value means, and how a change of it is told among
// the revisions.

import type { Pin, TuneSettings, Wishes } from "./forms";

type Value = string | boolean;

export interface Field {
  /** The field's value; undefined leaves it as it stands. */
  shown: (x: TuneSettings, w: Wishes) => Value | undefined;
  /** What a value asks for: of the tune, or of its tab on the rig that is shown. */
  asks: (v: Value) => { extra: Partial<TuneSettings> } | { wishes: { [K in keyof Wishes]: Wishes[K] | undefined } };
  /** The change as told among the revisions; words are those of what is chosen. */
  why: (v: Value, words: string) => string;
}

function text(v: Value): string {
  return typeof v === "string" ? v : "";
}

/** A field that is empty for a wish that is left free. */
function word(name: "key" | "grade" | "harmony" | "part" | "feel", why: Field["why"]): Field {
  return { shown: (_, w) => w[name] ?? "", asks: (v) => ({ wishes: { [name]: text(v) || undefined } }), why };
}

/** A phrase set around the tune, on every instrument. */
function phrase(name: "intro" | "turnaround" | "ending"): Field {
  return { shown: (x) => x[name] ?? "", asks: (v) => ({ extra: { [name]: text(v) || undefined } }), why: (v) => (v ? `${name}: ${text(v)}` : `no ${name}`) };
}

function whole(name: "octave" | "capo", why: string): Field {
  return {
    shown: (_, w) => String(w[name] ?? ""),
    asks: (v) => ({ wishes: { [name]: v === "" ? undefined : Number(v) } }),
    why: () => why,
  };
}

function tick(name: "closed" | "square" | "vibrato" | "whole", on: string, off: string): Field {
  return { shown: (_, w) => w[name] === true, asks: (v) => ({ wishes: { [name]: v === true || undefined } }), why: (v) => (v === true ? on : off) };
}

/** The fields, by the name of their element. */
export const fields: Readonly<Record<string, Field>> = {
  rig: { shown: (x) => x.rig, asks: (v) => ({ extra: { rig: text(v) } }), why: (_, words) => `shown on ${words}` },
  beside: { shown: (x) => x.beside ?? "", asks: (v) => ({ extra: { beside: text(v) } }), why: (_, words) => `${words} beside it` },
  tempo: { shown: (x) => (x.tempo ? String(x.tempo) : ""), asks: (v) => ({ extra: { tempo: Number(v) || 0 } }), why: () => "tempo changed" },
  part: word("part", (v) => (v ? "backup in place of the tune" : "the tune in place of backup")),
  feel: word("feel", (v) => (v ? `feel: ${text(v)}` : "the usual feel")),
  intro: phrase("intro"),
  turnaround: phrase("turnaround"),
  ending: phrase("ending"),
  key: word("key", (v) => (v ? `moved to ${text(v)}` : "key left free")),
  octave: whole("octave", "octave changed"),
  grade: word("grade", (_, words) => `for grade ${words}`),
  whole: tick("whole", "the whole tune in grade first", "an outline in grade first"),
  harmony: word("harmony", (v, words) => (v ? `harmony: ${words}` : "harmony as the grade has it")),
  capo: whole("capo", "capo changed"),
  closed: tick("closed", "without open strings", "with open strings"),
  square: tick("square", "without slants", "with slants"),
  touch: {
    shown: (x, w) => (w.touch === "graded" ? "" : (w.touch ?? x.touch ?? "")),
    asks: (v) => ({ wishes: { touch: text(v) || "graded" } }),
    why: (v) => (v ? `${text(v)} touch` : "touch as the grade has it"),
  },
  vibrato: tick("vibrato", "with vibrato", "without vibrato"),
};

/** What is kept after a change of the wishes for one rig. */
export function wished(x: TuneSettings, rigName: string, change: { [K in keyof Wishes]: Wishes[K] | undefined }): TuneSettings {
  const mine: Record<string, unknown> = { ...x.wishes?.[rigName], ...change };
  for (const [k, v] of Object.entries(mine)) if (v === undefined || (Array.isArray(v) && v.length === 0)) delete mine[k];
  return { ...x, wishes: { ...x.wishes, [rigName]: mine as Wishes } };
}

/** Whether two pins fix the same moment in the same key, octave and capo. */
function samePlace(a: Pin, b: Pin): boolean {
  const elsewhere = a.in && b.in && (a.in.semitones !== b.in.semitones || a.in.capo !== b.in.capo);
  return a.bar === b.bar && a.at === b.at && !elsewhere;
}

/** The pins when one place is pinned anew, or left free. */
export function pinned(pins: readonly Pin[], pin: Pin, free: boolean): Pin[] {
  const others = pins.filter((p) => !samePlace(p, pin));
  return free ? others : [...others, pin];
}
