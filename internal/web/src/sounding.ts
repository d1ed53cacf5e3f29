// What sounds at one rate from a time of the audio clock on, in pieces that are made
// while they are played.

import { held } from "./held";
import type { Piece, Pieces } from "./pieces";

/** How much music is handed to the audio clock before it is due, in seconds. */
const aheadSeconds = 2.5;
/** What follows comes in so soon after it has come. */
const soonSeconds = 0.02;
/** A sound that begins or ends in the midst of music is faded so long. */
const fadeSeconds = 0.012;

/** A recording of channels. */
function bufferOf(channels: Piece["channels"], sampleRate: number, context: BaseAudioContext): AudioBuffer {
  const sound = context.createBuffer(channels.length, channels[0]!.length, sampleRate);
  channels.forEach((c, i) => sound.copyToChannel(c, i));
  return sound;
}

export class Sounding {
  private readonly gain: GainNode;
  private readonly along: GainNode | null = null;
  private sources: AudioBufferSourceNode[] = [];
  private pieces: Pieces | null = null;
  private asking = false;
  private over = false;
  private fed = 0;
  /** Told when pieces came too late, and by how much: what follows sounds later. */
  onLate: (seconds: number) => void = () => {};

  /** gently fades it in, where music goes over into it. */
  constructor(
    private readonly context: BaseAudioContext,
    into: AudioNode,
    private readonly began: number,
    gently: boolean,
    /** What comes late leaves out what has gone by, instead of making all wait. */
    private readonly follows = false,
    /** Where what plays along in the same pieces goes. */
    beside: AudioNode | null = null,
  ) {
    const opened = (to: AudioNode): GainNode => {
      const gain = context.createGain();
      if (gently) {
        gain.gain.setValueAtTime(0, began);
        gain.gain.linearRampToValueAtTime(1, began + fadeSeconds);
      }
      gain.connect(to);
      return gain;
    };
    this.gain = opened(into);
    if (beside) this.along = opened(beside);
  }

  /** Sounds pieces: the first is at hand, and of it so many seconds are left out. */
  made(pieces: Pieces, first: Piece | null, skip: number): void {
    this.pieces = pieces;
    this.fed = this.began;
    if (first) this.add(first, skip);
    this.feed();
  }

  /** Asks for more when little is left; to be called again and again. */
  feed(): void {
    const { pieces } = this;
    if (!pieces || this.asking || this.over || this.fed > this.context.currentTime + aheadSeconds) return;
    this.asking = true;
    void pieces.next().then((piece) => {
      this.asking = false;
      if (this.over) return;
      if (!piece) {
        this.pieces = null;
        return;
      }
      this.add(piece, 0);
      this.feed();
    });
  }

  /** Ends it at a time of the audio clock; gently when other music takes over. */
  stop(at: number, gently: boolean): void {
    this.over = true;
    this.pieces?.end();
    for (const { gain } of gently ? [this.gain, ...(this.along ? [this.along] : [])] : []) {
      gain.setValueAtTime(1, at);
      gain.linearRampToValueAtTime(0, at + fadeSeconds);
    }
    for (const s of this.sources) s.stop(gently ? at + fadeSeconds : at);
  }

  private add(piece: Piece, skip: number): void {
    // Copied first: on a busy device that alone can make it late.
    const buffer = bufferOf(piece.channels, piece.sampleRate, this.context);
    const backing = piece.backing && this.along ? bufferOf(piece.backing, piece.sampleRate, this.context) : null;
    const late = this.context.currentTime - this.fed;
    if (late > 0 && this.follows) {
      const seconds = buffer.duration;
      const from = skip + late + soonSeconds;
      const at = this.fed + late + soonSeconds;
      this.fed += seconds - skip;
      if (from >= seconds) return;
      this.gain.gain.setValueAtTime(0, at);
      this.gain.gain.linearRampToValueAtTime(1, at + fadeSeconds);
      this.source(buffer).start(at, from);
      return;
    }
    if (late > 0) {
      this.fed += late;
      this.onLate(late);
    }
    this.source(buffer).start(this.fed, skip);
    if (backing) this.source(backing, this.along!).start(this.fed, skip);
    this.fed += buffer.duration - skip;
  }

  private source(buffer: AudioBuffer, into = this.gain): AudioBufferSourceNode {
    const source = this.context.createBufferSource();
    source.buffer = buffer;
    source.connect(into);
    const holding = held.hold(4 * buffer.length * buffer.numberOfChannels);
    source.onended = () => {
      holding.end();
      this.sources = this.sources.filter((s) => s !== source);
    };
    this.sources.push(source);
    return source;
  }
}
