// A held sound under the music, made here: it needs no recording. It is the same
// sound as the command's drone: partials that fall by 1.3 powers of their number.

const partials = 8;
const falls = 1.3;
/** The largest that it comes to, as the command's. */
const peak = 0.11;
/** Strength of octave and fifth against the tonic. */
const upper = 0.5;
const riseSeconds = 0.4;

export class Drone {
  private readonly gain: GainNode;
  private tones: OscillatorNode[] = [];
  private readonly wave: PeriodicWave;

  constructor(
    private readonly context: AudioContext,
    into: AudioNode,
  ) {
    this.gain = context.createGain();
    this.gain.gain.value = 0;
    this.gain.connect(into);
    const sines = Float32Array.from({ length: partials + 1 }, (_, n) => (n ? n ** -falls : 0));
    this.wave = context.createPeriodicWave(new Float32Array(partials + 1), sines);
  }

  /** Holds tones, in hertz, the tonic first, at a level from 0 to 1; no tones is silence. */
  set(hz: number[], level: number): void {
    const now = this.context.currentTime;
    const on = level > 0 && hz.length > 0;
    if (!on) {
      for (const t of this.tones) t.stop(now + riseSeconds);
      this.tones = [];
    } else if (this.tones.length === 0) {
      for (const [k, f] of hz.entries()) {
        const tone = this.context.createOscillator();
        const strength = this.context.createGain();
        tone.setPeriodicWave(this.wave);
        tone.frequency.value = f;
        strength.gain.value = k === 0 ? 1 : upper;
        tone.connect(strength).connect(this.gain);
        tone.start(now);
        this.tones.push(tone);
      }
    }
    this.gain.gain.cancelScheduledValues(now);
    this.gain.gain.setValueAtTime(this.gain.gain.value, now);
    this.gain.gain.linearRampToValueAtTime(on ? (peak * level) / (1 + 2 * upper) : 0, now + riseSeconds);
  }
}
