// The decoded sound that the page holds, counted in one place and bounded: recordings, what is made
// beforehand or handed to the audio clock, takes. What can go without anybody waiting for it
// later goes first, the least recently used of it. What a browser holds for a moment while
// it decodes is its own and not counted.

/** The most decoded sound that a page holds, in bytes. */
export const mostHeld = 100e6;

/** Sound that is held. */
export interface Holding {
  /** It has so many bytes from now on. */
  set(bytes: number): void;
  /** It is used just now. */
  used(): void;
  /** It is held no more. */
  end(): void;
}

interface Kept {
  bytes: number;
  /** Lets it go, or says that it is needed. */
  letGo: (() => boolean) | null;
}

export class Held {
  /** The least recently used first. */
  private readonly all = new Set<Kept>();

  constructor(private readonly most = mostHeld) {}

  get bytes(): number {
    return [...this.all].reduce((sum, k) => sum + k.bytes, 0);
  }

  /** How many bytes more can be held. */
  get room(): number {
    return this.most - this.bytes;
  }

  /** Whether so many bytes more can be held, when what may go has gone. */
  fits(bytes: number): boolean {
    this.make(bytes, null);
    return this.room >= bytes;
  }

  /** Counts what is held; letGo is asked when there is too much. */
  hold(bytes: number, letGo: (() => boolean) | null = null): Holding {
    const kept: Kept = { bytes: 0, letGo };
    const set = (bytes: number): void => {
      kept.bytes = bytes;
      if (this.all.has(kept)) this.make(0, kept);
    };
    this.all.add(kept);
    set(bytes);
    return {
      set,
      used: () => {
        if (this.all.delete(kept)) this.all.add(kept);
      },
      end: () => void this.all.delete(kept),
    };
  }

  /** Makes room for so many bytes, but not by letting go of one. */
  private make(bytes: number, but: Kept | null): void {
    for (const k of this.all) {
      if (this.room >= bytes) return;
      if (k !== but && k.letGo?.()) this.all.delete(k);
    }
  }
}

/** What this page holds. */
export const held = new Held();
