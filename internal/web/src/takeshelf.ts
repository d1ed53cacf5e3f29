// The takes that a device keeps of a lesson, with their sound, until the student deletes them or
// their sound takes too much room. A browser that keeps nothing has them while the page is open.
// The page itself holds the sound of a take only while it is looked at.

import type { Along, TakeFigures } from "./forms";
import { held, type Holding } from "./held";
import { Turns } from "./turns";

/** The form of what is kept; what a newer page has kept is left alone. */
const version = 2;
/** The form of the store that it is kept in. */
const storeVersion = 1;
const named = "lapwright takes";
const store = "takes";
/** The most sound that a device keeps, and that a page holds whose device keeps nothing, in seconds. */
const [mostKept, mostHere] = [1800, 600];

/** One take. */
export interface Take {
  version: number;
  id: string;
  lesson: string;
  /** When it was played: milliseconds since 1970. */
  played: number;
  /** Its instrument's file and name, and the tab as text that it was played from. */
  rig: string;
  title: string;
  tab: string;
  layout: string;
  tuned: string;
  /** The first and last bar that were looped, as numbered; null for all. */
  bars: [number, number] | null;
  /** Per cent of the written tempo. */
  speed: number;
  grade: string;
  seconds: number;
  /** What sounded while it was recorded; absent for nothing. */
  along?: Along;
  figures: TakeFigures;
  rate: number;
  /** Whether its sound is kept. */
  sounds: boolean;
}

/** A take as it is kept. Its sound is the samples' bytes, in version 1 the samples themselves; null when it was let go. */
interface Stored extends Omit<Take, "sounds"> {
  samples: Blob | Int16Array<ArrayBuffer> | null;
}

/** How many samples are copied at a time. */
const copied = 1 << 17;

/** Samples as bytes that a browser keeps without copying them once more, which would keep the page from all else. */
export async function bytesOf(samples: Int16Array<ArrayBuffer>): Promise<Blob> {
  const parts: Blob[] = [];
  const turns = new Turns();
  for (let at = 0; at < samples.length; at += copied) {
    parts.push(new Blob([samples.subarray(at, at + copied)]));
    await turns.step();
  }
  return new Blob(parts);
}

/** The samples of such bytes. */
export async function samplesOf(bytes: Blob): Promise<Int16Array<ArrayBuffer>> {
  const out = new Int16Array(bytes.size / 2);
  const turns = new Turns();
  for (let at = 0; at < out.length; at += copied) {
    out.set(new Int16Array(await bytes.slice(2 * at, 2 * (at + copied)).arrayBuffer()), at);
    await turns.step();
  }
  return out;
}

/** Which takes let their sound go, the oldest first, that no more than so many seconds are kept. */
export function tooMuch(takes: readonly Take[], most: number): Take[] {
  const newest = [...takes].sort((a, b) => b.played - a.played);
  let sum = 0;
  return newest.filter((t) => t.sounds && (sum += t.seconds) > most);
}

/** The day a take was played on: "2026-11-30". */
export function dayOf(t: { played: number }): string {
  const d = new Date(t.played);
  return `${d.getFullYear()}-${String(d.getMonth() + 1).padStart(2, "0")}-${String(d.getDate()).padStart(2, "0")}`;
}

export class TakeShelf {
  private readonly mine = new Map<string, Take>();
  /** What else the device keeps: of other lessons, or of a newer page. */
  private readonly others = new Set<string>();
  /** The sound of takes that the device does not keep. */
  private readonly here = new Map<string, { samples: Int16Array<ArrayBuffer>; holding: Holding }>();
  private opened: Promise<IDBDatabase | null> | null = null;
  /** Whether the device keeps takes when the page is closed; known after the first look. */
  keeps = true;
  /** Whether there are takes of a newer page, which stay as they are. */
  newer = false;

  constructor(private readonly lesson: string) {}

  /** The takes of this lesson, the oldest first. */
  async all(): Promise<Take[]> {
    const db = await this.open();
    if (db) {
      // A take holds its sound: only what has come since the last look is read, one after the other.
      const from = db.transaction(store).objectStore(store);
      try {
        for (const id of (await asked(from.getAllKeys())).map(String)) {
          if (this.mine.has(id) || this.others.has(id)) continue;
          const { samples, ...t } = await asked<Stored>(from.get(id));
          const ours = t.lesson === this.lesson;
          if (ours && t.version > version) this.newer = true;
          if (ours && t.version <= version) this.mine.set(id, { ...t, sounds: samples !== null || this.here.has(id) });
          else this.others.add(id);
        }
      } catch {
        // What can't be read is not shown.
      }
    }
    return [...this.mine.values()].sort((a, b) => a.played - b.played);
  }

  /** Keeps a take, and lets go of the sound of the oldest where there is too much. */
  async add(t: Omit<Take, "version" | "id" | "lesson" | "sounds">, samples: Int16Array<ArrayBuffer>): Promise<Take> {
    const take: Take = { ...t, sounds: true, version, id: `${t.played}-${Math.floor(Math.random() * 1e9)}`, lesson: this.lesson };
    this.mine.set(take.id, take);
    // Where there is no room the page still has it.
    if (!(await this.write(take, samples))) this.here.set(take.id, { samples, holding: held.hold(2 * samples.length) });
    const all = [...this.mine.values()];
    for (const old of new Set([...tooMuch(all, mostKept), ...tooMuch(all.filter((t) => this.here.has(t.id)), mostHere)])) {
      old.sounds = false;
      this.forget(old.id);
      await this.write(old, null);
    }
    return take;
  }

  /** The sound of a take; null when it is kept no more. */
  async soundOf(t: Take): Promise<Int16Array<ArrayBuffer> | null> {
    const here = this.here.get(t.id);
    if (here) return here.samples;
    const db = await this.open();
    const kept = db && (await asked<Stored | undefined>(db.transaction(store).objectStore(store).get(t.id)));
    return kept?.samples instanceof Blob ? samplesOf(kept.samples) : (kept?.samples ?? null);
  }

  /** How many minutes of sound are kept here at the most. */
  get minutes(): number {
    return (this.keeps ? mostKept : mostHere) / 60;
  }

  private forget(id: string): void {
    this.here.get(id)?.holding.end();
    this.here.delete(id);
  }

  async remove(id: string): Promise<void> {
    this.mine.delete(id);
    this.forget(id);
    const db = await this.open();
    if (db) await asked(db.transaction(store, "readwrite").objectStore(store).delete(id)).catch(() => undefined);
  }

  /** Keeps a take on the device, and says whether that could be. */
  private async write({ sounds: _, ...take }: Take, samples: Int16Array<ArrayBuffer> | null): Promise<boolean> {
    const db = await this.open();
    if (!db) return false;
    const stored: Stored = { ...take, samples: samples && (await bytesOf(samples)) };
    return new Promise((kept) => {
      const change = db.transaction(store, "readwrite");
      change.oncomplete = () => kept(true);
      change.onabort = () => kept((this.keeps = false)); // for want of room, when all is written
      change.objectStore(store).put(stored);
    });
  }

  private open(): Promise<IDBDatabase | null> {
    this.opened ??= new Promise<IDBDatabase | null>((done) => {
      try {
        const asking = window.indexedDB.open(named, storeVersion);
        asking.onupgradeneeded = () => asking.result.createObjectStore(store, { keyPath: "id" });
        asking.onsuccess = () => done(asking.result);
        asking.onerror = () => {
          this.newer = asking.error?.name === "VersionError";
          done(null);
        };
        asking.onblocked = () => done(null);
      } catch {
        done(null);
      }
    }).then((db) => {
      this.keeps = db !== null;
      return db;
    });
    return this.opened;
  }
}

function asked<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error ?? new Error("The device keeps nothing."));
  });
}
