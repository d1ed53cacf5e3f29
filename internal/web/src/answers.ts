// What the program answers about a tune on a rig.

import type { Part } from "./part";
import type { Pin } from "./wishes";

export interface Compromise {
  bar: number;
  at: string;
  wanted: string;
  got: string;
  why: string;
}

export interface About {
  rig: string;
  title: string;
  tuning: string;
  key: string;
  transposed: number;
  capo?: number;
  harmony?: string;
  lowFret: number;
  highFret: number;
  slants: number;
  difficulty: number;
  compromises: Compromise[];
}

export interface Answer {
  /** The tune has no notes yet: only the neck is shown. */
  blank?: boolean;
  /** The revision that is shown. */
  revision?: number;
  /** Why it is not the one that was asked for. */
  trouble?: string;
  shown: Part;
  pages: string[];
  narrow: string;
  about: About;
  /** Pins that need a bender which the instrument has no more, in words. */
  asleep?: string[];
}

export interface Choice {
  words: string;
  extra: number;
  now: boolean;
  pin: Pin;
}

export interface Ranked {
  ref: string;
  title: string;
  difficulty: number;
  reasons: string[] | null;
}
