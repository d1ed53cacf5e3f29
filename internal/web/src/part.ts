// What the program tells the page about one tab: when each stroke sounds, where
// the bar lies, and what the neck looks like. Times are seconds at the tune's
// own speed from the first sample of the recording.

export interface Part {
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
  clicks: Click[];
  steel: Steel[];
}

/** One playing of a written bar. */
export interface BarTime {
  bar: number;
  number: number;
  at: number;
  end: number;
}

/** One sounding of a stroke. */
export interface StrokeTime {
  stroke: number;
  pass: number;
  at: number;
  end: number;
  strings: number[];
  held?: number[];
}

export interface Click {
  at: number;
  first: boolean;
}

/** Where the steel is at one instant; first and last are 0 when it is lifted. */
export interface Steel {
  at: number;
  kind: string;
  first: number;
  last: number;
  firstFret: number;
  lastFret: number;
}

/** One written stroke: its bar, and its place in it as a fraction of a whole note. */
export interface Stroke {
  bar: number;
  at: string;
  kind: string;
  plucks: Pluck[];
}

export interface Pluck {
  string: number;
  fret: number;
  sounds: string;
}

export interface Neck {
  /** Open pitches, string 1 first. */
  open: string[];
  frets: number;
}
