package band

import (
	"math"
	"testing"

	"lapwright/feel"
	"lapwright/internal/near"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tune"
)

// TestVoicingCosts: what one voicing costs, by hand from the prices: how far its notes are from B♭3
// (key 58) on the average, tones twice, root or fifth left out, frets above the seventh, thirds
// below E3 (52), notes within a tone of the lead. Keys from the guitar's strings E4 B3 G3 D3.
func TestVoicingCosts(t *testing.T) {
	const none = -1
	for _, c := range []struct {
		what, chord string
		keys        [guitarStrings]int
		frets       [3]int
		lo, hi      int
		want        float64
	}{
		{"D3 G3 B3", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 1, 0, costOff * 12 / 3},
		{"the root twice", "G", [guitarStrings]int{67, 59, 55, 0}, [3]int{3, 0, 0}, 1, 0, costOff*13/3 + costDouble + costNoFifth},
		{"three of one", "G5", [guitarStrings]int{67, 0, 55, 43}, [3]int{0, 0, 0}, 1, 0, costOff*27/3 + 2*costDouble + costNoFifth},
		{"no root", "G7", [guitarStrings]int{65, 62, 59, 0}, [3]int{1, 3, 4}, 1, 0, costOff*12/3 + costNoRoot},
		{"no third", "G", [guitarStrings]int{0, 62, 55, 50}, [3]int{0, 0, 0}, 1, 0, none},
		{"no seventh", "G7", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 1, 0, none},
		{"two of one key", "G", [guitarStrings]int{0, 59, 59, 50}, [3]int{0, 0, 0}, 1, 0, none},
		{"crossed", "G", [guitarStrings]int{0, 55, 59, 50}, [3]int{0, 0, 0}, 1, 0, none},
		{"at the seventh fret", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{7, 0, 5}, 1, 0, costOff * 12 / 3},
		{"above it", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{8, 0, 10}, 1, 0, costOff*12/3 + 4*costHigh},
		{"a third on D3", "Bm", [guitarStrings]int{59, 54, 50, 0}, [3]int{0, 0, 0}, 1, 0, costOff*13/3 + costMud},
		{"a third on E3", "E", [guitarStrings]int{59, 56, 52, 0}, [3]int{0, 0, 0}, 1, 0, costOff * 9 / 3},
		{"a third on D#3", "Eb", [guitarStrings]int{58, 55, 51, 0}, [3]int{0, 0, 0}, 1, 0, costOff*10/3 + costMud},
		{"a fourth on D3", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 100, 100, costOff * 12 / 3},
		{"a tone below the lead", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 61, 61, costOff*12/3 + costInLead},
		{"more than a tone below", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 62, 62, costOff * 12 / 3},
		{"a tone above it", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 40, 48, costOff*12/3 + costInLead},
		{"more than a tone above", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 40, 47, costOff * 12 / 3},
		{"all within it", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 50, 60, costOff*12/3 + 3*costInLead},
		{"a lead of one note", "G", [guitarStrings]int{0, 59, 55, 50}, [3]int{0, 0, 0}, 55, 55, costOff*12/3 + costInLead},
	} {
		chord, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		v := voicing{keys: c.keys}
		if !v.weigh(chord, c.frets, c.lo, c.hi) {
			v.cost = none
		}
		near.To(t, c.what, v.cost, c.want, 1e-9)
	}
	near.To(t, "G to C", moved(&voicing{keys: [guitarStrings]int{0, 59, 55, 50}}, &voicing{keys: [guitarStrings]int{0, 60, 55, 52}}), 3, 0)
	near.To(t, "G to a higher C", moved(&voicing{keys: [guitarStrings]int{0, 59, 55, 50}}, &voicing{keys: [guitarStrings]int{67, 64, 60, 0}}), 10+9+8, 0)
}

// TestNeededTones: third or what stands for it, seventh and sixth tell a chord; a ninth does not, and
// of a chord of five tones a fourth and a thirteenth are left to the lead.
func TestNeededTones(t *testing.T) {
	for _, c := range []struct{ chord, label string }{{"G", "3"}, {"Gm7", "b7"}, {"Gsus4", "4"}, {"Gsus2", "2"}, {"G6", "6"}, {"G7sus4", "4"}} {
		if !told(t, c.chord, c.label) {
			t.Errorf("%s of %s tells nothing", c.label, c.chord)
		}
	}
	for _, c := range []struct{ chord, label string }{{"G", "5"}, {"G", "R"}, {"G9", "9"}, {"Gadd9", "9"}, {"G6/9", "6"}, {"G13", "13"}, {"G9sus4", "4"}} {
		if told(t, c.chord, c.label) {
			t.Errorf("%s of %s is needed", c.label, c.chord)
		}
	}
}

func told(t *testing.T, chord, label string) bool {
	t.Helper()
	c, err := pitch.ParseChord(chord)
	if err != nil {
		t.Fatal(err)
	}
	for _, tone := range c.Tones {
		if tone.Label == label {
			return needed(c, tone)
		}
	}
	t.Fatalf("%s has no %s: %v", chord, label, c.Tones)
	return false
}

// TestTonesOfADrone: the tonic lies from E2 up to E♭3, its octave and its fifth above; partials lie
// below half the rate, each weaker by n to the power of 1.3.
func TestTonesOfADrone(t *testing.T) {
	for class, want := range map[string]float64{"E": 82.4069, "Eb": 155.5635, "A": 110, "C": 130.8128} { // Hz at A4 = 440, equal temperament
		k, err := pitch.ParseClass(class)
		if err != nil {
			t.Fatal(err)
		}
		hold := Hold(k, TonicFifth, 0)
		if len(hold) != 3 || len(Hold(k, Tonic, 440)) != 2 {
			t.Fatalf("%s holds %v", class, hold)
		}
		near.To(t, class, float64(hold[0]), want, 1e-3)
		near.To(t, class+" an octave up", float64(hold[1]), 2*want, 1e-3)
		near.To(t, class+" a fifth up", float64(hold[2]), want*math.Exp2(7./12), 1e-3)
	}
	d := &Drone{}
	d.tone(100, 1)
	d.tone(sound.Rate/4, 0.5)
	d.tone(sound.Rate/2, 1)
	if len(d.sines) != partials+1 || d.swaying != 3 {
		t.Fatalf("%d partials of three tones", len(d.sines))
	}
	for n := 1; n <= partials; n++ {
		s := d.sines[n-1]
		near.To(t, "a partial's strength", s.amp, math.Pow(float64(n), -falls), 1e-12)
		near.To(t, "its step", s.step, 2*math.Pi*100*float64(n)/sound.Rate, 1e-12)
	}
	near.To(t, "a quarter of the rate", d.sines[partials].step, math.Pi/2, 1e-12)
	near.To(t, "half as strong", d.sines[partials].amp, 0.5, 1e-12)
	// It rises over 0.4 s and falls over the last 1.2 s.
	k, _ := pitch.ParseClass("A")
	rise := NewDrone(k, Tonic, 440, 4*sound.Rate)
	out := make([]float32, 5*sound.Rate)
	rise.Add(out)
	level := func(from, to float64) float64 {
		sum := 0.0
		for _, v := range out[int(from*sound.Rate):int(to*sound.Rate)] {
			sum += float64(v) * float64(v)
		}
		return math.Sqrt(sum / ((to - from) * sound.Rate))
	}
	full := level(1, 2)
	near.To(t, "halfway up", level(0.15, 0.25)/full, 0.5, 0.06)
	near.To(t, "halfway down", level(3.35, 3.45)/full, 0.5, 0.06)
	if after := level(4, 5); after != 0 {
		t.Errorf("after its end it sounds with %g", after)
	}
}

// TestPlacesOfTheBand: the bass stands in the middle, the guitar to the left, brush and shaker to the right,
// by the sine and cosine law: at a place p the sides are as cos and sin of (1+p)·45°, and their power is that
// of the middle.
func TestPlacesOfTheBand(t *testing.T) {
	f, err := feel.Find("boom-chuck")
	if err != nil {
		t.Fatal(err)
	}
	tb := song(t, f, "G")
	for which, place := range map[string]float64{"bass": 0, "guitar": guitarPlace, "brush": brushPlace} {
		x := heard(t, tb, f, which, sound.Options{Dry: true})
		var left, right float64
		for i := range x[0] {
			left, right = left+float64(x[0][i])*float64(x[0][i]), right+float64(x[1][i])*float64(x[1][i])
		}
		want := math.Tan((1 + place) * math.Pi / 4)
		near.Share(t, which+", right against left", math.Sqrt(right/left), want, 0.06) // an instrument has some breadth of its own
		if left+right == 0 {
			t.Errorf("%s is not heard", which)
		}
	}
	// What a tone of a drone sways by: at the first quarter of 7.3 s it has four fifths, at the third all.
	d := &Drone{length: 100 * sound.Rate, scale: 1}
	d.tone(1000, 1)
	out := make([]float32, 6*sound.Rate)
	d.Add(out)
	level := func(at float64) float64 {
		sum := 0.0
		for _, v := range out[int((at-0.05)*sound.Rate):int((at+0.05)*sound.Rate)] {
			sum += float64(v) * float64(v)
		}
		return math.Sqrt(sum)
	}
	near.To(t, "a tone as it sways", level(swayEvery/4)/level(3*swayEvery/4), 0.8, 0.002)
}

// TestTriadsOfAKey: the chords that the harmony of a tune without symbols is guessed from, the tonic first.
func TestTriadsOfAKey(t *testing.T) {
	for key, want := range map[string]string{
		"G": "G D C Em Am Bm", "Am": "Am Dm E G C F", "D dor": "Dm G A C F Bb", "A mix": "A D G Em Bm F#m", "E phr": "Em Am B D G C",
	} {
		k, err := pitch.ParseKey(map[string]string{"G": "G", "Am": "A minor", "D dor": "D dorian", "A mix": "A mixolydian", "E phr": "E phrygian"}[key])
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for i, x := range triads(k) {
			if i > 0 {
				got += " "
			}
			got += x.chord.String()
		}
		if got != want {
			t.Errorf("%s lives on %s, want %s", key, got, want)
		}
	}
	g, c := mustChord(t, "G"), mustChord(t, "C")
	h := &harmony{bars: [][]change{{{0, g}}, {{0, nil}, {tune.Whole / 2, c}}, {{0, g}}}}
	if got := h.words(); got != "G C" {
		t.Errorf("guessed chords are told as %q", got)
	}
}

func mustChord(t *testing.T, text string) *pitch.Chord {
	t.Helper()
	c, err := pitch.ParseChord(text)
	if err != nil {
		t.Fatal(err)
	}
	return &c
}

// TestBassStrokes: what the bass plays under a chord at each sign of a figure: its lowest, the nearer fifth,
// a sixth above, and what lies a semitone below the next chord's bass, nothing below E1 (key 28) or above
// C3 (48). What lies at A1 (33) or above is on the first string.
func TestBassStrokes(t *testing.T) {
	p := song(t, feel.All()[0], "C", "F").Performance()
	for _, c := range []struct {
		chord, next string
		sign        feel.Sign
		key, str    int
	}{
		{"C", "F", feel.Bass, 36, 0}, {"C/E", "F", feel.Bass, 28, 1}, {"A", "F", feel.Bass, 33, 0}, {"G#", "F", feel.Bass, 32, 1},
		{"C", "F", feel.Fifth, 31, 1}, {"F", "C", feel.Fifth, 36, 0}, {"C", "F", feel.Sixth, 45, 0}, {"Eb", "F", feel.Sixth, 48, 0},
		{"C", "F", feel.Near, 28, 1}, {"C", "E", feel.Near, 39, 0}, {"C", "G", feel.Near, 30, 1}, {"C", "Eb", feel.Near, 38, 0}, {"C", "", feel.Near, 31, 1},
	} {
		for _, accent := range []bool{false, true} {
			w := &writer{p: p, at: func(x tune.Ticks) int { return int(x / (tune.Whole / 64)) }, all: []stretch{{chord: mustChord(t, c.chord)}}}
			if c.next != "" {
				w.all = append(w.all, stretch{chord: mustChord(t, c.next), begins: true})
			}
			st := feel.Stroke{At: tune.Whole / 4, Len: tune.Whole / 8, Sign: c.sign, Accent: accent}
			w.strikeBass(0, tune.Pass{Start: tune.Whole}, st, accent)
			n := w.out.bass[0]
			end, strength := 88, bassStrength
			if accent {
				end, strength = 0, bassStrength+accentMore
			}
			if n.Key != c.key || n.StringIndex != c.str || n.At != 80 || n.End != end || n.Strength != strength {
				t.Errorf("%s before %s, %c: %+v, want key %d on string %d from 80 to %d at %g", c.chord, c.next, c.sign, n, c.key, c.str+1, end, strength)
			}
		}
	}
	w := &writer{all: []stretch{{chord: mustChord(t, "C")}, {chord: mustChord(t, "C")}, {}, {chord: mustChord(t, "F"), begins: true}}}
	for i, want := range []bool{false, true, true, true} {
		if got := w.ends(i); got != want || w.last(i) != (i == 3) {
			t.Errorf("stretch %d ends its chord: %v", i, got)
		}
	}
}
