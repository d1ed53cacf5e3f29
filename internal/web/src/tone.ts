// The tone of a plucked open string, to tune by: some overtones that die away,
// the higher ones sooner.

/** The strength of each partial, the fundamental first. */
const partials = [1, 0.5, 0.3, 0.15, 0.1, 0.06];
const loudness = 0.25;
const longSeconds = 3;

export class Tone {
  private static context: AudioContext | null = null;
  private static now: GainNode | null = null;

  /** Sounds a frequency in place of the one before. */
  sound(hz: number): void {
    const context = (Tone.context ??= new AudioContext());
    void context.resume();
    const at = context.currentTime + 0.02;
    if (Tone.now) {
      Tone.now.gain.cancelScheduledValues(0);
      Tone.now.gain.setTargetAtTime(0, context.currentTime, 0.02);
    }
    const all = context.createGain();
    all.gain.value = loudness;
    all.connect(context.destination);
    Tone.now = all;
    partials.forEach((strength, i) => {
      const wave = context.createOscillator();
      const gain = context.createGain();
      wave.frequency.value = hz * (i + 1);
      gain.gain.setValueAtTime(0, at);
      gain.gain.linearRampToValueAtTime(strength, at + 0.006);
      gain.gain.setTargetAtTime(0, at + 0.006, longSeconds / (3 + 2 * i));
      wave.connect(gain).connect(all);
      wave.start(at);
      wave.stop(at + longSeconds);
    });
  }
}
