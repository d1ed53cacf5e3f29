// The forms in which the program answers, made from its room report by
// internal/web/build: not written by hand. What each field holds is said there.

export interface BarTime {
  bar: number;
  number: number;
  at: number;
  end: number;
}

export interface ClickTime {
  at: number;
  first: boolean;
}

export interface Compromise {
  bar: number;
  at: string;
  wanted: string;
  got: string;
  why: string;
}

export interface Fault {
  line?: number;
  column?: number;
  byte?: number;
  part?: string;
  bar?: string;
  at?: string;
  string?: number;
  text: string;
  hint?: string;
  shown?: string;
  error?: boolean;
}

export interface Neck {
  open: string[];
  frets: number;
}

export interface Placed {
  blank?: boolean;
  revision?: number;
  trouble?: string;
  shown: Tab;
  pages: string[];
  narrow: string;
  about: Summary;
  asleep?: string[];
}

export interface Pluck {
  string: number;
  fret: number;
  sounds: string;
}

export interface SteelTime {
  at: number;
  kind: string;
  first: number;
  last: number;
  firstFret: number;
  lastFret: number;
  angle: number;
}

export interface Stroke {
  bar: number;
  at: string;
  kind: string;
  plucks: Pluck[];
}

export interface StrokeTime {
  stroke: number;
  pass: number;
  at: number;
  end: number;
  strings: number[];
  held?: number[];
}

export interface Summary {
  rig: string;
  title: string;
  tuning: string;
  key: string;
  transposed: number;
  capo?: number;
  lowFret: number;
  highFret: number;
  slants: number;
  splits: number;
  difficulty: number;
  notes: number;
  harmony?: string;
  compromises: Compromise[];
}

export interface Tab {
  rig: string;
  title: string;
  timing: Timing;
  strokes: Stroke[];
  neck: Neck;
}

export interface Timing {
  countIn: number;
  end: number;
  total: number;
  bars: BarTime[];
  strokes: StrokeTime[];
  clicks: ClickTime[];
  steel: SteelTime[];
}
