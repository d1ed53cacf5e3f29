// Sounding one short thing at a time: a grip, the tone of a string.

let context: AudioContext | null = null;
let sounding: AudioBufferSourceNode | null = null;
let asked = 0; // how many sounds have been

/** Fetches a sound and plays it in place of the one before, unless another was asked for meanwhile. */
export async function hear(path: string, otherwise: string): Promise<void> {
  context ??= new AudioContext();
  void context.resume();
  const turn = ++asked;
  const res = await fetch(path);
  if (!res.ok) throw new Error(otherwise);
  const buffer = await context.decodeAudioData(await res.arrayBuffer());
  if (turn !== asked) return;
  sounding?.stop();
  sounding = context.createBufferSource();
  sounding.buffer = buffer;
  sounding.connect(context.destination);
  sounding.start();
}
