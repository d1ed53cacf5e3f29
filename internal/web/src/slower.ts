// A recording at other speeds, made beside the page so that it never stands
// still: a worker does the work and hands it back in parts. One other speed is
// kept, and the next one while a loop climbs: each is as large as the recording.

import { stretch } from "./stretch";

/** The worker's whole script: stretch needs nothing from outside itself. */
const script = `"use strict";const stretch=${stretch.toString()};
onmessage=(e)=>{const{channels,sampleRate,rate,part}=e.data;const out=stretch(channels,sampleRate,rate);const length=out[0].length;
for(let at=0;at<length;at+=part)postMessage({length,at,channels:out.map((c)=>c.slice(at,at+part))});postMessage({done:true})}`;

/** How much of the sound comes back at a time, in seconds. */
const partSeconds = 2;

type Said = { done: true } | { length: number; at: number; channels: Float32Array<ArrayBuffer>[] };

/** Sounds the music at a rate from its notes, rather than from a recording. */
export interface Anew {
  sound(rate: number): Promise<Float32Array<ArrayBuffer>[]>;
  give(): void;
}

export class Slower {
  /** Where the notes are at hand, other speeds are sounded from them. */
  anew: Anew | null = null;
  private whole: AudioBuffer | null = null;
  private kept = new Map<number, AudioBuffer>();
  private making = new Map<number, { end: () => void; made: Promise<void> }>();

  /** Takes another recording; null is none, and then every speed is at once there. */
  of(whole: AudioBuffer | null): void {
    this.give();
    this.kept.clear();
    this.whole = whole;
  }

  /** The recording at a rate: null without a recording, undefined when it has yet to be made. */
  at(rate: number): AudioBuffer | null | undefined {
    if (!this.whole || rate === 1) return this.whole;
    return this.kept.get(rate);
  }

  /** Makes it at a rate; beside keeps what is there, as for a loop that climbs. */
  make(rate: number, context: BaseAudioContext, beside = false): Promise<void> {
    const made = this.making.get(rate);
    if (made) return made.made;
    const whole = this.whole;
    if (!whole || this.kept.has(rate)) return Promise.resolve();
    if (!beside) this.give();
    const job = { end: (): void => {}, made: Promise.resolve() };
    // Where the browser lets no worker be, the page does it itself.
    const { anew } = this;
    const stretched = (): Promise<AudioBuffer> => this.work(whole, rate, context, job).catch(() => here(whole, rate, context));
    const work = anew ? this.sounded(anew, rate, context, job).catch((e: unknown) => (this.making.get(rate) === job ? stretched() : Promise.reject(e))) : stretched();
    job.made = work.then((sound) => {
      if (this.making.get(rate) !== job) return; // given up meanwhile
      this.making.delete(rate);
      const most = beside ? 2 : 1;
      while (this.kept.size >= most) this.kept.delete(this.kept.keys().next().value!);
      this.kept.set(rate, sound);
    }, (e: unknown) => {
      if (this.making.get(rate) === job) throw e; // else it was given up
    });
    this.making.set(rate, job);
    return job.made;
  }

  /** Gives up what is being made. */
  private give(): void {
    for (const job of this.making.values()) job.end();
    this.making.clear();
  }

  private async sounded(anew: Anew, rate: number, context: BaseAudioContext, job: { end: () => void }): Promise<AudioBuffer> {
    job.end = () => anew.give();
    return bufferOf(await anew.sound(rate), context);
  }

  private work(whole: AudioBuffer, rate: number, context: BaseAudioContext, job: { end: () => void }): Promise<AudioBuffer> {
    const { sampleRate } = whole;
    const channels = Array.from({ length: whole.numberOfChannels }, (_, c) => whole.getChannelData(c).slice());
    return new Promise((resolve, reject) => {
      let worker: Worker;
      const at = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
      try {
        worker = new Worker(at);
      } catch (e) {
        reject(e instanceof Error ? e : new Error(String(e)));
        return;
      }
      const end = (): void => {
        worker.terminate();
        URL.revokeObjectURL(at);
      };
      job.end = end;
      let out: AudioBuffer | null = null;
      worker.onmessage = (e: MessageEvent<Said>) => {
        const said = e.data;
        if ("done" in said) {
          end();
          if (out) resolve(out);
          return;
        }
        out ??= context.createBuffer(said.channels.length, said.length, sampleRate);
        said.channels.forEach((c, i) => out!.copyToChannel(c, i, said.at));
      };
      worker.onerror = (e) => {
        end();
        reject(new Error(e.message || "the browser does not let the page work beside itself"));
      };
      worker.postMessage({ channels, sampleRate, rate, part: Math.round(partSeconds * sampleRate) }, channels.map((c) => c.buffer));
    });
  }
}

/** The rate at which the core sounds. */
const coreRate = 48000;

/** A recording of the channels that the core has sounded. */
export function bufferOf(channels: Float32Array<ArrayBuffer>[], context: BaseAudioContext): AudioBuffer {
  const sound = context.createBuffer(channels.length, channels[0]!.length, coreRate);
  channels.forEach((c, i) => sound.copyToChannel(c, i));
  return sound;
}

function here(whole: AudioBuffer, rate: number, context: BaseAudioContext): AudioBuffer {
  const channels = Array.from({ length: whole.numberOfChannels }, (_, c) => whole.getChannelData(c));
  const out = stretch(channels, whole.sampleRate, rate);
  const sound = context.createBuffer(out.length, out[0]!.length, whole.sampleRate);
  out.forEach((c, i) => sound.copyToChannel(Float32Array.from(c), i));
  return sound;
}
