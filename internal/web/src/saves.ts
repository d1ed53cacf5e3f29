// Saves of one item, one after another, none lost.

import type { AskedChange, Item } from "./forms";

/** What the page knows of the item that it edits. */
export type State = Omit<Item, "why">;

export type Change = Partial<Pick<State, "title" | "body" | "extra">>;

/** What is sent: the revision that it was made from, and what changes. */
export type Save = AskedChange;

/**
 * A queue of saves: a change made while a save is under way goes into the next.
 * What could not be saved waits, and goes with the next change.
 */
export class Saves {
  private busy: Promise<void> = Promise.resolve();
  private waiting: { change: Change; why: string } | null = null;
  /** How many flushes are queued or under way. */
  private flushing = 0;

  /** ask gives the state after a save; took is told each new state. */
  constructor(
    public state: State,
    private readonly ask: (save: Save) => Promise<State>,
    private readonly took: (s: State) => void,
  ) {}

  /** Whether something is not saved yet. */
  get unsaved(): boolean {
    return this.waiting !== null;
  }

  save(change: Change, why: string): Promise<void> {
    const before = { ...this.state, ...this.waiting?.change };
    if ((Object.keys(change) as (keyof Change)[]).every((k) => JSON.stringify(change[k]) === JSON.stringify(before[k]))) {
      // What waits because it could not be saved is tried again.
      return this.waiting && this.flushing === 0 ? this.send() : this.busy;
    }
    this.waiting = { change: { ...this.waiting?.change, ...change }, why };
    return this.send();
  }

  /** Moves along the revisions when nothing is under way any more; not past their ends. */
  move(way: "undo" | "redo", ask: (base: number) => Promise<State>): Promise<void> {
    return this.then(async () => {
      if (way === "undo" ? this.state.canUndo : this.state.canRedo) this.take(await ask(this.state.revision));
    });
  }

  private send(): Promise<void> {
    this.flushing++;
    return this.then(() => this.flush().finally(() => this.flushing--));
  }

  private then(work: () => Promise<void>): Promise<void> {
    this.busy = this.busy.catch(() => {}).then(work);
    return this.busy;
  }

  private async flush(): Promise<void> {
    const next = this.waiting;
    if (!next) return;
    const state = await this.ask({ base: this.state.revision, why: next.why, ...next.change });
    if (this.waiting === next) this.waiting = null;
    this.take(state);
  }

  private take(state: State): void {
    this.state = state;
    this.took(state);
  }
}
