package band

import (
	"math"
	"testing"

	"lapwright/feel"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/filter"
)

// strokes sounds strokes of brush or shaker, so many seconds of them.
func strokes(seconds float64, hits ...hit) []float64 {
	b := newBrush(5)
	b.play(hits, 0, 0)
	out, other := make([]float64, int(seconds*sound.Rate)), make([]float64, int(seconds*sound.Rate))
	b.add(out, other, 1, 0.5)
	for i := range out {
		if math.Abs(other[i]-0.5*out[i]) > 1e-15 {
			panic("the sides differ by more than their share")
		}
	}
	return out
}

// decibels is how much of a sound there is between two times, on the average.
func decibels(x []float64, from, to float64) float64 {
	sum := 0.0
	part := x[int(from*sound.Rate):int(to*sound.Rate)]
	for _, v := range part {
		sum += v * v
	}
	return 10 * math.Log10(sum/float64(len(part))+1e-30)
}

// TestStrokesOfTheBrush: a tap comes at once and falls by e every 22 ms; a sweep swells to 80 ms and falls till 190; a shake is
// loudest in its middle, and nothing of any is heard before it or a quarter of a second after it; strength raises it by 16 dB from soft to loud.
func TestStrokesOfTheBrush(t *testing.T) {
	for _, c := range []struct {
		sign     feel.Sign
		loud     [2]float64 // seconds between which it is loudest
		lasts    float64
		soft     float64   // a time at which
		softer   float64   // it is so many dB softer; 0 where chance has it
		hz       []float64 // where there is most of it, and where there is less
		lessThan float64
	}{
		{feel.Tap, [2]float64{0, 0.012}, tapLasts, 0.05, 24, []float64{3000, 16000}, 10},
		{feel.Sweep, [2]float64{0.05, 0.11}, sweepLasts, 0.008, 20, []float64{4000, 300}, 15},
		{feel.Shake, [2]float64{0.010, 0.05}, shakeLasts, 0, 0, []float64{3800, 800}, 12},
	} {
		const at = 0.25
		usual := strokes(1.5, hit{at: int(at * sound.Rate), sign: c.sign, strength: sound.UsualStrength})
		const step = 0.004
		best, when := -300.0, 0.0
		for s := 0.0; s < 0.3; s += step {
			if d := decibels(usual, at+s, at+s+2*step); d > best {
				best, when = d, s
			}
		}
		if when < c.loud[0] || when > c.loud[1] {
			t.Errorf("%c is loudest after %.0f ms", c.sign, 1000*when)
		}
		if best < -40 || best > -6 {
			t.Errorf("%c has %.1f dB", c.sign, best)
		}
		if d := best - decibels(usual, at+c.soft, at+c.soft+0.01); c.softer > 0 && (d < c.softer-8 || d > c.softer+8) {
			t.Errorf("%c is %.1f dB softer after %.0f ms, want about %.0f", c.sign, d, 1000*c.soft, c.softer)
		}
		if before, after := decibels(usual, 0, at-0.001), decibels(usual, at+c.lasts+0.25, at+c.lasts+0.3); before > -140 || after > best-90 {
			t.Errorf("%c: %.0f dB before it, %.0f after it", c.sign, before, after)
		}
		if end := usual[len(usual)-1]; end != 0 {
			t.Errorf("%c: a second later there is still %g", c.sign, end)
		}
		hard := strokes(1, hit{at: int(at * sound.Rate), sign: c.sign, strength: sound.UsualStrength + 0.25})
		if d := decibels(hard, at, at+c.lasts) - decibels(usual, at, at+c.lasts); c.sign != feel.Shake && math.Abs(d-4) > 0.1 || d < 2 || d > 9 { // a harder shake has more grains too, by chance
			t.Errorf("%c: a quarter harder it is %.2f dB louder", c.sign, d)
		}
		share := func(hz float64) float64 {
			f := [2]filter.Resonance{filter.NewResonance(hz, 3), filter.NewResonance(hz, 3)}
			sum := 0.0
			for _, v := range usual {
				y := f[1].Next(f[0].Next(v))
				sum += y * y
			}
			return 10 * math.Log10(sum)
		}
		if d := share(c.hz[0]) - share(c.hz[1]); d < c.lessThan {
			t.Errorf("%c: at %.0f Hz it has only %.1f dB more than at %.0f", c.sign, c.hz[0], d, c.hz[1])
		}
	}
}

// TestTapFallsByE: from 8 to 52 ms, twice its 22, a tap falls by two e: 17.4 dB, of many taps on the average; its head answers
// near 185 Hz.
func TestTapFallsByE(t *testing.T) {
	var early, late, low, beside float64
	for k := range 40 {
		b := newBrush(uint64(k))
		b.play([]hit{{at: 0, sign: feel.Tap, strength: sound.UsualStrength}}, 0, 0)
		x := make([]float64, sound.Rate/4)
		b.add(x, make([]float64, len(x)), 1, 0)
		high := [2]filter.Biquad{filter.HighPass(1500, 0.7), filter.HighPass(1500, 0.7)}
		head, other := filter.NewResonance(headHz, 4), filter.NewResonance(400, 4)
		for i, v := range x {
			y := high[1].Next(high[0].Next(v))
			switch s := float64(i) / sound.Rate; {
			case s >= 0.006 && s < 0.010:
				early += y * y
			case s >= 0.050 && s < 0.054:
				late += y * y
			}
			p, q := head.Next(v), other.Next(v)
			low, beside = low+p*p, beside+q*q
		}
	}
	if d := 10 * math.Log10(early/late); math.Abs(d-17.4) > 1.5 {
		t.Errorf("in 44 ms a tap falls by %.1f dB, want 17.4", d)
	}
	if d := 10 * math.Log10(low/beside); d < 6 {
		t.Errorf("the head's own tone has only %.1f dB more than one beside it", d)
	}
}

// TestBrushFromTheMiddle: what is taken up in the middle leaves out what was struck before, and has the rest where it is, in whatever
// order it was written.
func TestBrushFromTheMiddle(t *testing.T) {
	b := newBrush(1)
	b.play([]hit{{at: 9000, sign: feel.Tap, strength: 0.5}, {at: 999, sign: feel.Tap, strength: 0.5}, {at: 1000, sign: feel.Sweep, strength: 0.5}}, 1000, 70)
	if len(b.hits) != 2 || b.hits[0].at != 70 || b.hits[0].sign != feel.Sweep || b.hits[1].at != 8070 || b.at != 70 {
		t.Errorf("from sample 1000 on, which is 70: %+v", b.hits)
	}
	// After long silence a stroke sounds as it would have from the start.
	one := strokes(2, hit{at: sound.Rate, sign: feel.Tap, strength: 0.5})
	if m := decibels(one, 0.6, 0.99); m > -250 {
		t.Errorf("silence has %.0f dB", m)
	}
	if m := decibels(one, 1, 1.05); m < -60 {
		t.Errorf("a tap after silence has %.0f dB", m)
	}
}

// TestDroneIsMade: its partials n are as strong as 1/n to the power 1.3, the fifth half as strong as the tonic, each swaying by a fifth,
// slower the higher tone; it rises over 0.4 s and falls over 1.2; none of its tones lies under E2 or over the octave from it.
func TestDroneIsMade(t *testing.T) {
	g, _ := pitch.ParseClass("G")
	held := NewDrone(g, TonicFifth, 440, 18*sound.Rate)
	from := func(at, seconds float64) []float32 {
		out := make([]float32, int(seconds*sound.Rate))
		held.at = int(at * sound.Rate)
		held.Add(out)
		return out
	}
	part := func(at float64) []float32 { return from(at, 0.5) }
	const tonic, fifth = 97.99886, 146.83238
	// Of the tonic's partials the fifth and seventh lie on no other tone's, and of the fifth's the first.
	five, seven := strength(part(9), 5*tonic), strength(part(9), 7*tonic)
	if d := five / seven; math.Abs(d-math.Pow(7.0/5, 1.3)) > 0.02*d {
		t.Errorf("the fifth partial is %.3f times the seventh, want %.3f", d, math.Pow(7.0/5, 1.3))
	}
	// Strongest and weakest where the sway of the tonic, of 7.3 s, is at its ends.
	strong, weak := strength(part(7.3*1.75-0.25), tonic), strength(part(7.3*1.25-0.25), tonic)
	if math.Abs(weak/strong-0.8) > 0.01 {
		t.Errorf("the tonic sways down to %.3f of itself, want 0.8", weak/strong)
	}
	// The fifth is the third tone: it sways in 9.3 s.
	if f := strength(part(9.3*1.25-0.25), fifth) / strength(part(9.3*0.75-0.25), fifth); math.Abs(f-0.8) > 0.01 {
		t.Errorf("the fifth sways down to %.3f of itself, want 0.8", f)
	}
	if f := strength(part(9.3*0.75-0.25), fifth) / strong; math.Abs(f-0.5) > 0.02 {
		t.Errorf("the fifth is %.3f as strong as the tonic, want half", f)
	}
	level := func(at, to float64) float64 {
		sum := 0.0
		for _, v := range from(at, to-at) {
			sum += float64(v) * float64(v)
		}
		return math.Sqrt(sum / (to - at))
	}
	// Over a period of all tones, about a tenth of a second, it is half up after 0.2 s, and half down 0.6 s before its end.
	for what, c := range map[string]float64{"a fifth of a second after it begins": level(0.15, 0.25) / level(0.6, 0.7), "six tenths before it ends": level(17.35, 17.45) / level(16.6, 16.7)} {
		if math.Abs(c-0.5) > 0.06 {
			t.Errorf("%s it has %.3f of its strength, want half", what, c)
		}
	}
	for _, c := range []struct {
		tonic  string
		lowest int
	}{{"E", 40}, {"Eb", 51}, {"F", 41}, {"D", 50}, {"A", 45}} {
		class, _ := pitch.ParseClass(c.tonic)
		got := Hold(class, Tonic, 0)
		if want := pitch.Equal(float64(c.lowest), pitch.StandardA); len(got) != 2 || math.Abs(float64(got[0]-want)) > 1e-9 || math.Abs(float64(got[1]-2*want)) > 1e-9 {
			t.Errorf("%s is held at %v, want %g and its octave", c.tonic, got, float64(want))
		}
	}
	// At any A4 nothing lies over half the rate.
	d := NewDrone(pitch.Class{Letter: pitch.D}, TonicFifth, 440, 10)
	for _, s := range d.sines {
		if s.step >= math.Pi {
			t.Errorf("a partial turns by %g a sample", s.step)
		}
	}
	if len(d.sines) != 3*partials {
		t.Errorf("%d partials of three tones", len(d.sines))
	}
	// What lies beyond its end stays as it is, and after its end nothing is added.
	out := []float32{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1}
	d.Add(out)
	if out[10] != 1 || out[11] != 1 || out[9] == 0 {
		t.Errorf("ten samples are added to twelve: %v", out)
	}
}
