// A take saved as a file for the teacher: what was played on what, and its sound. Nothing
// is said in it of the device or the browser, and a name only when one is typed.

import { flac } from "./flac";
import type { SavedTake } from "./forms";
import { dayOf, type Take } from "./takeshelf";
import { zip } from "./zip";

/** What tells of the lesson: digests of all it carries and of its tune. */
export interface LessonDigests {
  lesson: string;
  block: string;
}

/** What is said of a take. */
export function aboutTake(t: Take, of: LessonDigests, tab: string, name: string): SavedTake {
  const typed = name.trim().replace(/\s+/g, " ");
  return {
    version: 1, lesson: of.lesson, block: of.block, tab, rig: t.rig, tuned: t.tuned, ...(t.bars ? { bars: t.bars } : {}),
    speed: t.speed, grade: t.grade, day: dayOf(t), ...(typed ? { name: typed } : {}), ...(t.along ? { along: t.along } : {}),
  };
}

/** The bytes of NAME.take.zip. */
export async function takeFile(t: Take, samples: Int16Array, of: LessonDigests, name: string): Promise<Uint8Array<ArrayBuffer>> {
  const about = aboutTake(t, of, await digest(t.tab), name);
  const sound = await flac(samples, t.rate, () => new Promise((go) => setTimeout(go)));
  return zip([{ name: "take.json", bytes: new TextEncoder().encode(`${JSON.stringify(about, null, 1)}\n`) }, { name: "take.flac", bytes: sound }]);
}

/** SHA-256 of a text, in hexadecimal. */
export async function digest(text: string): Promise<string> {
  const sum = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(sum)].map((b) => b.toString(16).padStart(2, "0")).join("");
}

/** A file's name from a title: "low-tide". */
export function slug(title: string): string {
  return title.normalize("NFKD").toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60) || "take";
}
