package sound

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/internal/golden"
	"lapwright/sound/click"
	"lapwright/tab"
	"lapwright/tune"
)

// softest is the level in decibels below full scale under which nobody hears a difference.
const softest = -70

// octaves returns the level of each octave from 31 Hz to 16 kHz in decibels, softest at the least,
// for each quarter of a second.
func octaves(x []float32) [][]float64 {
	const size = Rate / 4
	fft := fourier.NewFFT(size)
	var out [][]float64
	for at := 0; at+size <= len(x); at += size {
		part := make([]float64, size)
		for i := range part {
			part[i] = float64(x[at+i]) * math.Sqrt2 * math.Sin(math.Pi*(float64(i)+0.5)/size) // Hann's window of the power
		}
		power := make([]float64, 10)
		for k, c := range fft.Coefficients(nil, part) {
			octave := int(math.Round(math.Log2(max(fft.Freq(k)*Rate, 1) / 31.25)))
			if octave >= 0 && octave < len(power) {
				power[octave] += 2 * math.Pow(cmplx.Abs(c)/size, 2)
			}
		}
		for i, p := range power {
			power[i] = max(softest, 10*math.Log10(p+1e-12))
		}
		out = append(out, power)
	}
	return out
}

// levelsOf writes down a part's octaves, a row for each quarter of a second.
func levelsOf(b *strings.Builder, name string, x []float32) {
	for i, levels := range octaves(x) {
		fmt.Fprintf(b, "%-6s%6.2f", name, float64(i)/4)
		for _, l := range levels {
			fmt.Fprintf(b, " %6.1f", l)
		}
		b.WriteByte('\n')
	}
}

// mixed is a tab with everything, and chords that are rolled, chopped, cut short and swelled.
func mixed(t *testing.T, name string) *tab.Tab {
	tb := everything(t, name)
	last := &tb.Strokes[len(tb.Strokes)-1]
	for i, s := range []int{2, 4} {
		p := last.Plucks[0]
		p.String, p.Finger = s, []tab.Finger{tab.Thumb, tab.Middle}[i]
		last.Plucks = append(last.Plucks, p)
	}
	for i := range tb.Strokes {
		s := &tb.Strokes[i]
		e := &tb.Tune.Bars[s.BarIndex].Lines[0][s.Plucks[0].Ref.Event]
		switch i {
		case 2:
			e.Marks = []tune.Mark{tune.Accent}
		case 6:
			e.Marks = []tune.Mark{tune.Swell}
		case 8:
			e.Marks = []tune.Mark{tune.Staccato}
		case 9:
			s.Plucks[0].Attack, s.Plucks[0].Fret, e.Notes[0].Chop = tab.Chopped, 0, true
		}
	}
	return tb
}

// What every kind of instrument sounds like, octave by octave and a quarter of a second at a time: both
// sides of the lead, the difference of both, and the steel's own noise. An octave that is louder or
// softer by more than a third of a decibel is a change that a listener may hear (hardly less is noticed
// of one band among others: from memory, psychoacoustics), so that it is to be one that somebody meant.
func TestOctavesOfEveryInstrument(t *testing.T) {
	two, half, hard := 2.0, 0.5, 0.9
	for _, c := range []struct {
		rig string
		o   Options
	}{
		{"reso-open-g", Options{CountIn: 1, Click: true, ClickOn: click.Subdivided, Seed: 3}},
		{"tricone-open-d", Options{Dry: true, Strength: &hard, Glides: 1.5}},
		{"hollow-neck-open-d", Options{Contact: &two, Speed: 1.5}},
		{"lap6-c6", Options{Drive: &hard, Spring: &half, Band: &ticker{}}},
		{"bender-open-d", Options{Strength: &half, Seed: 7}},
		{"pedal10-e9", Options{Speed: 0.8, Glides: 3}},
	} {
		t.Run(c.rig, func(t *testing.T) {
			stems, err := RenderStems(mixed(t, c.rig), c.o)
			if err != nil {
				t.Fatal(err)
			}
			left, right := stems.Lead.Channels[0], stems.Lead.Channels[1]
			sum, apart := make([]float32, len(left)), make([]float32, len(left))
			for i := range left {
				sum[i], apart[i] = (left[i]+right[i])/2, left[i]-right[i]
			}
			var b strings.Builder
			levelsOf(&b, "both", sum)
			levelsOf(&b, "apart", apart)
			levelsOf(&b, "steel", stems.Contact.Channels[0])
			levelsOf(&b, "click", stems.Click.Channels[0])
			golden.Table(t, "testdata/octaves/"+c.rig+".txt", b.String(), 0.3)
		})
	}
}

// The same of the band's guitar and bass: notes softly and strongly struck on every string, some of them stopped, some
// struck anew while they ring, some chopped.
func TestOctavesOfTheBand(t *testing.T) {
	for name, kind := range map[string]Frame{"guitar": BandGuitar, "bass": BandBass} {
		open, _ := kind.Strings()
		var all []Struck
		for i := range 14 {
			n := Struck{At: 2400 + i*6000, StringIndex: i % len(open), Key: open[i%len(open)] + []int{0, 5, 3, 9, 7}[i%5], Strength: []float64{0.1, 0.5, 1}[i%3]}
			switch i % 4 {
			case 1:
				n.End = n.At + 5000
			case 2:
				n.Chopped = i > 6
			}
			all = append(all, n)
		}
		f := NewFretted(kind, 440, 4)
		f.Play(all, 0, 0)
		left, right := make([]float64, 3*Rate), make([]float64, 3*Rate)
		for at := 0; at < len(left); at += 4000 {
			f.Add(left[at:at+4000], right[at:at+4000], 0.8, 0.3)
		}
		sides := [2][]float32{}
		for side, x := range [][]float64{left, right} {
			for _, v := range x {
				sides[side] = append(sides[side], float32(v))
			}
		}
		var b strings.Builder
		levelsOf(&b, "left", sides[0])
		levelsOf(&b, "right", sides[1])
		golden.Table(t, "testdata/octaves/band-"+name+".txt", b.String(), 0.3)
	}
}
