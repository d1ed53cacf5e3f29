// What is told about a tab, in words.

import type { Compromise, Summary } from "./forms";
import { capital, pretty } from "./names";

/** Names and values; a tune without notes has little to tell. */
export function facts(a: Summary, blank: boolean): [name: string, value: string][] {
  const moved = a.transposed ? ` (${a.transposed > 0 ? "up" : "down"} ${Math.abs(a.transposed)})` : "";
  const capo: [string, string][] = a.capo ? [["Capo", `fret ${a.capo}`]] : [];
  if (blank) return [["Tuning", pretty(a.tuning)], ...capo, ["Key", pretty(a.key)]];
  return [
    ["Tuning", pretty(a.tuning)],
    ["Key", pretty(a.key) + moved],
    ...capo,
    ["Frets", a.highFret ? `${a.lowFret} to ${a.highFret}` : "open strings"],
    ["Slants", String(a.slants)],
    ["Difficulty", `${a.difficulty.toFixed(1)} (0 is free, 10 is hard work)`],
  ];
}

/** What was put to the tune and left out of it, a sentence each. */
export function account(a: Summary): string[] {
  return [...(a.outline ? [capital(a.outline)] : []), ...(a.harmony ? [capital(a.harmony)] : []), ...a.capos.map((o) => capital(o.words)), ...a.account].map((line) => `${line}.`);
}

/** One compromise as a sentence. */
export function wrote(c: Compromise): string {
  return `Bar ${c.bar}${c.at === "0" ? "" : `, ${c.at} in`}: ${pretty(c.wanted)} is written, ${pretty(c.got)} sounds. ${c.why}`;
}
