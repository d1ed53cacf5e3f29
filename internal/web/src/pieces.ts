// Music in pieces that are made while they are played.

/** One piece: samples of each channel and how many a second, and of what plays along where it comes with it. */
export interface Piece {
  channels: Float32Array<ArrayBuffer>[];
  sampleRate: number;
  backing?: Float32Array<ArrayBuffer>[];
}

/** Music from a place on, in pieces that follow each other. */
export interface Pieces {
  /** null behind the end. One at a time. */
  next(): Promise<Piece | null>;
  /** Nobody asks for more. */
  end(): void;
  /** What was made beforehand begins at its own place, however late it comes. */
  readonly patient?: boolean;
}
