// The forms in which the program answers and is asked, made from its room report by
// internal/web/build: not written by hand. What each field holds is said there.

export interface Added {
  kind: string;
  bar: number;
  at: string;
  string: number;
  pitch: string;
}

export interface Along {
  rounds: AlongRound[];
  delay?: number;
}

export interface AlongRound {
  at: number;
  from: number;
  to: number;
  speed: number;
}

export interface Asked {
  what: string;
  form?: AskedInstrument;
  rig?: string;
  tab?: string;
  layout?: string;
  stringOneLow?: boolean;
  leftHanded?: boolean;
  window?: string;
  tuned?: string;
  string?: number;
  fret?: number;
  glides?: number;
  speed?: number;
  stroke?: number;
  takes?: TakeFigures[];
  along?: Along;
}

export interface AskedChange {
  base: number;
  title?: string;
  body?: string;
  extra?: Record<string, unknown>;
  why: string;
}

export interface AskedFile {
  name: string;
  text: string;
  rig: string;
  keep: boolean;
}

export interface AskedGrip {
  rig: string;
  stops: string;
  benders: number;
}

export interface AskedInstrument {
  title: string;
  body: string;
  scale: string;
  strings: string;
  tuning: string;
  gauges: string;
  capo: string;
  benders: string;
}

export interface AskedNote {
  text: string;
  rig: string;
  string: number;
  fret: number;
  length: string;
  higher: number;
}

export interface AskedRigEdit {
  text: string;
  string?: StringEdit;
  setup?: Setup;
}

export interface AskedStep {
  base: number;
  number?: number;
}

export interface AskedTakeNote {
  base: number;
  note: number;
  at: string;
  string: number;
  right: boolean;
  word: string;
}

export interface AskedText {
  text: string;
  rig?: string;
}

export interface BarTime {
  bar: number;
  number: number;
  at: number;
  end: number;
  lacks?: number;
  yours?: boolean;
}

export interface Bender {
  name: string;
  mark: string;
  kind: string;
  moves: number[];
}

export interface BroughtTab {
  go?: string;
  rig: string;
  rigs: RigTitle[];
  said: Fault[];
  readable: boolean;
}

export interface BroughtTake {
  go: string;
}

export interface BroughtTune {
  title: string;
  about: string;
}

export interface BroughtTunes {
  go?: string;
  count: number;
  notes: string[];
  tunes?: BroughtTune[];
}

export interface Capo {
  clamp: boolean;
  highest: number;
  at: number;
}

export interface CapoOffer {
  fret: number;
  shapes: string;
  saves: number;
  difficulty: number;
  words: string;
}

export interface CarriedTab {
  rig: string;
  tab: string;
  layout?: string;
  stringOneLow?: boolean;
  leftHanded?: boolean;
  gain: number;
}

export interface CheckedInstrument {
  title: string;
  tuning: string;
  rig: string;
  finding: string;
  reasons: string[];
  caution: string;
  doubts: Fault[];
  strings: StringRow[];
  load: string;
}

export interface CheckedRig {
  said: Fault[];
  strings?: StringRow[];
  load?: string;
  reasons?: string[];
  title?: string;
  setup?: Setup;
}

export interface Choice {
  words: string;
  extra: number;
  now: boolean;
  pin: Pin;
  pinned: boolean;
}

export interface Choices {
  bar: number;
  at: string;
  before?: number;
  choices: Choice[];
}

export interface ClickTime {
  at: number;
  first: boolean;
  soft?: boolean;
  between?: boolean;
  part?: boolean;
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

export interface GripNeck {
  shown: Tab;
  benders: Bender[];
}

export interface HeardTake {
  review: Review;
  refused?: string;
  summary: string;
  strings: string;
  told: string[];
  sheet?: ScreenSheet;
  marks: TakeMark[];
  drills: string[];
  caution?: string;
  figures: TakeFigures;
}

export interface InWords {
  head: string[];
  bars: string[];
}

export interface InstrumentFile {
  title: string;
  tuning: string;
  rig: string;
}

export interface Instruments {
  instruments: InstrumentFile[];
  bodies: string[];
  tunings: NamedTuning[];
}

export interface Item {
  id: string;
  revision: number;
  title: string;
  body: string;
  extra: Record<string, unknown>;
  canUndo: boolean;
  canRedo: boolean;
  why: string;
}

export interface Landing {
  cents: number;
  mm: number;
  steady: boolean;
}

export interface LeftOut {
  bar: number;
  at: string;
  length: string;
  pitch: string;
}

export interface LessonJob {
  progress: string;
  file: string;
  cancel: string;
  asleep: string[];
}

export interface LessonPlan {
  tune: string;
  rigs: string[];
  words: string;
  paper?: string;
  layout?: string;
  stringOneLow?: boolean;
  leftHanded?: boolean;
  backup?: boolean;
}

export interface MeasuredDelay {
  refused?: string;
  seconds: number;
  plusMinus: number;
  heard: number;
  sounded: number;
}

export interface NamedTuning {
  title: string;
  text: string;
}

export interface Neck {
  open: string[];
  hz: number[];
  frets: number;
  capo?: number;
  benders?: NeckBender[];
}

export interface NeckBender {
  mark: string;
  name: string;
}

export interface Now {
  string: number;
  fret: number;
  cents: number;
  steelMM: number;
  at: number;
  behind: number;
}

export interface OnInstrument {
  placed: Placed;
  inWords: InWords;
  rig: string;
  tab: string;
}

export interface Open {
  strings: OpenString[];
  refused?: string;
}

export interface OpenString {
  string: number;
  wanted: number;
  hz: number;
  cents: number;
  onset: number;
}

export interface Pin {
  bar: number;
  at: string;
  grip: [number, number][];
  benders?: string[];
  words: string;
  whole?: boolean;
  in?: PinSetting;
}

export interface PinSetting {
  semitones: number;
  capo: number;
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

export interface Progress {
  done: number;
  total: number;
  what: string;
  ready?: boolean;
  error?: string;
}

export interface Ranked {
  ref: string;
  title: string;
  difficulty: number;
  score: number;
  reasons: string[];
}

export interface Ranking {
  ranked: Ranked[];
}

export interface Refusal {
  error: string;
  current?: number;
}

export interface Refused {
  faults: Fault[];
}

export interface Review {
  version: number;
  notes: ReviewNote[];
  extra: ReviewExtra[];
  strings: ReviewString[];
  slants: ReviewSlant[];
  tempo: number;
  against: string;
  delay: number;
  takenOff: number;
  advice: ReviewAdvice[];
}

export interface ReviewAdvice {
  bars: number[];
  text: string;
  drill: ReviewDrill;
}

export interface ReviewDrill {
  name: string;
  words: string;
  start: number;
  target: number;
  title: string;
  tab: string;
}

export interface ReviewExtra {
  onset: number;
  pitch: string;
}

export interface ReviewNote {
  bar: number;
  at: string;
  string: number;
  fret: number;
  wanted: number;
  status: string;
  onset: number;
  late: number;
  cents: number;
  plusMinus: number;
  centsJust: number;
  spread: number;
  steelMM: number;
  steelPlusMinus: number;
  sure: boolean;
}

export interface ReviewSlant {
  bar: number;
  at: string;
  strings: number[];
  kind: string;
  wanted: number;
  degrees: number;
  plusMinus: number;
  steelMM: number;
  steelPlusMinus: number;
  sure: boolean;
}

export interface ReviewString {
  string: number;
  cents: number;
  plusMinus: number;
}

export interface RigTitle {
  ref: string;
  title: string;
}

export interface Said {
  said: Fault[];
}

export interface SavedTake {
  version: number;
  lesson: string;
  block: string;
  tab: string;
  rig: string;
  tuned: string;
  bars?: [number, number];
  speed: number;
  grade: string;
  day: string;
  name?: string;
  along?: Along;
}

export interface ScreenSheet {
  pages: string[];
  narrow: string;
}

export interface Setup {
  body: string;
  capo: Capo;
  benders: Bender[];
}

export interface SheetPages {
  pages: string[];
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

export interface StringEdit {
  number: number;
  open: string;
  gauge: string;
}

export interface StringRow {
  number: number;
  open: string;
  gauge: string;
  short: string;
  wire: string;
  tension: string;
  share: string;
  finding: string;
}

export interface Stroke {
  bar: number;
  at: string;
  kind: string;
  plucks: Pluck[];
  benders?: string[];
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
  part: string;
  feel?: string;
  tuning: string;
  key: string;
  transposed: number;
  capo?: number;
  capos: CapoOffer[];
  lowFret: number;
  highFret: number;
  slants: number;
  splits: number;
  difficulty: number;
  notes: number;
  harmony?: string;
  outline?: string;
  compromises: Compromise[];
  added: Added[];
  leftOut: LeftOut[];
  account: string[];
}

export interface Tab {
  rig: string;
  title: string;
  part?: string;
  timing: Timing;
  strokes: Stroke[];
  neck: Neck;
  drone: number[];
  band?: boolean;
}

export interface TakeFigures {
  label: string;
  wanted: number;
  played: number;
  cents: number;
  late: number;
  against: string;
  tempo: number;
  strings: number[];
  regions: number[];
}

export interface TakeLine {
  judged: boolean;
  notes: string;
  off: string;
  late: string;
  tempo: string;
}

export interface TakeMark {
  mark: string;
  class: string;
  means: string;
}

export interface TakesCompared {
  takes: TakeLine[];
  picture: string;
}

export interface Text {
  text: string;
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

export interface Tone {
  string: number;
  sounds: string;
  label: string;
}

export interface TouchedGrip {
  names: string[];
  within: string[];
  notes: Tone[];
  words: string;
  missing: string[];
  steel: SteelTime;
  stops: [number, number][];
  body: string;
}

export interface TuneSettings {
  rig?: string;
  beside?: string;
  tempo?: number;
  touch?: string;
  intro?: string;
  turnaround?: string;
  ending?: string;
  wishes?: Record<string, Wishes>;
}

export interface Tuner {
  rig: string;
  ways: Record<string, string>;
}

export interface TypedTab {
  said: Fault[];
  body?: string;
  wishes?: Wishes;
  name?: string;
}

export interface Where {
  pass: number;
  past: number;
}

export interface Wished {
  rig: string;
  tab: string;
  speed: number;
  pass: number;
  past: number;
  loop?: [number, number];
  gain?: number;
  phrases?: [number, number][];
  glides?: number;
  band?: boolean;
}

export interface Wishes {
  key?: string;
  octave?: number;
  grade?: string;
  whole?: boolean;
  closed?: boolean;
  square?: boolean;
  vibrato?: boolean;
  touch?: string;
  capo?: number;
  harmony?: string;
  pins?: Pin[];
  part?: string;
  feel?: string;
}

export interface Words {
  words: string;
}
