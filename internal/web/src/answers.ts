// What else the program answers about a tune on a rig; the rest is in forms.ts.

import type { Pin } from "./wishes";

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
