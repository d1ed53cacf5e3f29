import type { Channel } from "../stretch";

/** Samples as a channel that is read from. */
export function channel(x: Float32Array): Channel {
  return {
    length: x.length,
    read: (at, into) => {
      into.fill(0);
      into.set(x.subarray(at, at + into.length));
    },
  };
}

/** Samples as a browser gives what it has decoded. */
export function decoded(channels: Float32Array[], sampleRate: number): AudioBuffer {
  return {
    length: channels[0]!.length, numberOfChannels: channels.length, sampleRate,
    copyFromChannel: (into: Float32Array, c: number, at: number) => into.set(channels[c]!.subarray(at, at + into.length)),
  } as unknown as AudioBuffer;
}
