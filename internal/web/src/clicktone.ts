// One click, higher on the first beat of a bar, softer between beats.

/** Sounds a click at a time of the audio clock. */
export function clickAt(context: AudioContext, into: AudioNode, when: number, strong: boolean, level: number): OscillatorNode {
  const tone = context.createOscillator();
  const gain = context.createGain();
  tone.frequency.value = strong ? 1568 : 1175;
  gain.gain.setValueAtTime(0, when);
  gain.gain.linearRampToValueAtTime(0.4 * level, when + 0.002);
  gain.gain.exponentialRampToValueAtTime(0.001, when + 0.05);
  tone.connect(gain).connect(into);
  tone.start(when);
  tone.stop(when + 0.06);
  return tone;
}
