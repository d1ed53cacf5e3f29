// The takes that a device keeps of a lesson, with their sound, until the student deletes them or
// their sound takes too much room. A browser that keeps nothing has them while the page is open.

import type { Along, TakeFigures } from "./forms";

/** The form of what is kept; what a newer page has kept is left alone. */
const version = 1;
const named = "lapwright takes";
const store = "takes";
/** The most sound that a device keeps, in seconds. */
export const mostKept = 1800;

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
  /** Null when it was let go. */
  samples: Int16Array<ArrayBuffer> | null;
}

/** Which takes let their sound go, the oldest first, that no more than so many seconds are kept. */
export function tooMuch(takes: readonly Take[], most: number): Take[] {
  const newest = [...takes].sort((a, b) => b.played - a.played);
  let sum = 0;
  return newest.filter((t) => t.samples !== null && (sum += t.seconds) > most);
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
      // A take holds its sound: only what has come since the last look is read.
      const from = db.transaction(store).objectStore(store);
      const ids = await asked(from.getAllKeys()).catch(() => []);
      const fresh = ids.map(String).filter((id) => !this.mine.has(id) && !this.others.has(id));
      for (const t of await Promise.all(fresh.map((id) => asked<Take>(from.get(id)))).catch(() => [])) {
        const ours = t.lesson === this.lesson;
        if (ours && t.version > version) this.newer = true;
        if (ours && t.version <= version) this.mine.set(t.id, t);
        else this.others.add(t.id);
      }
    }
    return [...this.mine.values()].sort((a, b) => a.played - b.played);
  }

  /** Keeps a take, and lets go of the sound of the oldest where there is too much. */
  async add(t: Omit<Take, "version" | "id" | "lesson">): Promise<Take> {
    const take: Take = { ...t, version, id: `${t.played}-${Math.floor(Math.random() * 1e9)}`, lesson: this.lesson };
    this.mine.set(take.id, take);
    await this.write(take);
    for (const old of tooMuch([...this.mine.values()], mostKept)) {
      old.samples = null;
      await this.write(old);
    }
    return take;
  }

  async remove(id: string): Promise<void> {
    this.mine.delete(id);
    const db = await this.open();
    if (db) await asked(db.transaction(store, "readwrite").objectStore(store).delete(id)).catch(() => undefined);
  }

  private async write(take: Take): Promise<void> {
    const db = await this.open();
    if (!db) return;
    // Where there is no room the page still has it.
    await asked(db.transaction(store, "readwrite").objectStore(store).put(take)).catch(() => { this.keeps = false; });
  }

  private open(): Promise<IDBDatabase | null> {
    this.opened ??= new Promise<IDBDatabase | null>((done) => {
      try {
        const asking = window.indexedDB.open(named, version);
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
