package sound

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/internal/golden"
	"lapwright/rig/rigtest"
	"lapwright/sound/click"
	"lapwright/steel"
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
			fmt.Fprintf(b, " %6.2f", l)
		}
		b.WriteByte('\n')
	}
}

// mixed is a tab with everything, and chords that are brushed, chopped, cut short and swelled, slants, held notes under moves of the
// steel, notes tied on with their vibrato, and benders where there are some.
func mixed(t *testing.T, name string) *tab.Tab {
	r := rigtest.Builtin(t, name)
	plain := note{str: 2, fret: 7, len: 1}
	var tb *tab.Tab
	chord := func(i int, strings ...int) {
		s := &tb.Strokes[i]
		for _, str := range strings {
			p := s.Plucks[0]
			p.String, p.Finger = str, []tab.Finger{tab.Thumb, tab.Index, tab.Middle}[str%3]
			s.Plucks = append(s.Plucks, p)
		}
	}
	notes := append(handled(), []note{
		{str: 1, fret: 12, len: 1, attack: tab.Tied, more: shaken},
		{str: 4, fret: 12, len: 1, attack: tab.Harmonic, more: func(s *tab.Stroke, p *tab.Pluck) { s.Placement, p.Node = steel.Placement{Kind: steel.Lifted}, 2 }},
		{str: 2, fret: 5, len: 1, attack: tab.PalmHarmonic, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Node = 2 }},
		{str: 5, fret: 5, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }},
		plain,
		{str: 2, fret: 8, len: 1, more: func(s *tab.Stroke, _ *tab.Pluck) {
			s.Placement = steel.Placement{Kind: steel.Forward, First: 2, Last: 4, FirstFret: 8, LastFret: 7}
		}},
		plain,
		{str: 1, fret: 9, len: 1}, {str: 1, fret: 9, len: 1},
		{str: 2, len: 1, attack: tab.Chopped}, plain, plain, plain,
	}...)
	if len(r.Benders) > 0 {
		bent := r.Benders[0].Moves[0].String
		notes = append(notes, note{str: bent, fret: 5, len: 1}, note{str: bent, fret: 5, len: 1, attack: tab.BentTo, more: func(s *tab.Stroke, _ *tab.Pluck) { s.Benders = 1 }})
	}
	tb = makeTab(t, r, 150, notes...)
	chord(11, 1, 3, 4, 5)
	chord(12, 4)
	tb.Strokes[12].Plucks[1].Fret = 7
	chord(13, 3)
	chord(16, 3)
	event := func(i int) *tune.Event {
		s := &tb.Strokes[i]
		return &tb.Tune.Bars[s.BarIndex].Lines[0][s.Plucks[0].Ref.Event]
	}
	event(2).Marks = []tune.Mark{tune.Accent}
	event(16).Notes[0].Chop = true
	event(17).Marks = []tune.Mark{tune.Staccato}
	event(18).Marks = []tune.Mark{tune.Swell}
	return tb
}

// What every kind of instrument sounds like, octave by octave and a quarter of a second at a time: both
// sides of the lead, the difference of both, and the steel's own noise. What changes it is to be something that
// somebody meant: from about half a decibel in one octave on a listener may notice it (from memory, psychoacoustics).
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
		{"lap8-c13", Options{Click: true, ClickOn: click.TwoAndFour, Loudness: -30}},
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
			golden.Table(t, "testdata/octaves/"+c.rig+".txt", b.String(), 0.02)
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
		golden.Table(t, "testdata/octaves/band-"+name+".txt", b.String(), 0.02)
	}
}
