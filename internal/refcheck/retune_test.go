package refcheck

import (
	"math"
	"strconv"
	"testing"

	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// OpenStax, University Physics volume 1, chapter 17: strings at 127.8, 128.1
// and 128.3 Hz beat at 0.3, 0.2 and 0.5 Hz.
func TestBeatsTextbook(t *testing.T) {
	for _, c := range []struct {
		f, g pitch.Hz
		want float64
	}{{127.8, 128.1, 0.3}, {128.1, 128.3, 0.2}, {127.8, 128.3, 0.5}} {
		if got := retune.BeatRate(1, c.f, 1, c.g); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%g and %g Hz beat at %g, want %g", c.f, c.g, got, c.want)
		}
	}
	// The same through two strings tuned apart by a new reference pitch: what
	// beats in one way of tuning is still the difference of its frequencies.
	r, _ := rig.Builtin("lap6-c6")
	r.Strings[1].Open = r.Strings[0].Open
	c, err := pitch.ParseChord("E")
	if err != nil {
		t.Fatal(err)
	}
	tuned, err := retune.NewTuned(r, c, 440, 1, pitch.FiveLimit)
	if err != nil {
		t.Fatal(err)
	}
	if b := tuned.Beats[0]; b.Upper != 1 || b.Lower != 1 || b.Equal != 0 {
		t.Errorf("two strings at one pitch: %+v", b)
	}
}

// Every open string of every known tuning at A4 = 440 Hz has the frequency of
// the table of equal temperament, which was computed apart from Lapwright.
func TestTargetsEqualTemperament(t *testing.T) {
	table := map[int]float64{}
	for _, row := range rows(t, "values", "et_a440.csv") {
		key, err := strconv.Atoi(row[0])
		if err != nil {
			t.Fatal(err)
		}
		table[key] = number(t, row[2])
	}
	checked := 0
	for _, k := range retune.Catalogue() {
		r := &rig.Rig{Reference: 440}
		for i := range k.Pitches {
			r.Strings = append(r.Strings, rig.String{Open: k.Pitches[i], Wire: k.Gauges[i]})
		}
		c, err := retune.OpenChordOf(r)
		if err != nil {
			if c, err = pitch.ParseChord("E9"); err != nil {
				t.Fatal(err)
			}
		}
		tuned, err := retune.NewTuned(r, c, 440, 0.5, pitch.FiveLimit)
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		for _, x := range tuned.Targets {
			want, ok := table[x.Name.Key()]
			if !ok {
				t.Fatalf("%s is not in the table", x.Name)
			}
			if math.Abs(float64(x.Equal)-want) > 1e-5 {
				t.Errorf("%s: %s at %.6f Hz, want %.6f", k.Name, x.Name, x.Equal, want)
			}
			checked++
		}
	}
	if checked < 250 {
		t.Fatalf("only %d strings were checked", checked)
	}
}

// The just tones of open chords lie where the table of just intervals, which
// was computed apart from Lapwright, has them.
func TestTargetsJust(t *testing.T) {
	off := map[string]float64{} // how far the just interval lies from the equal one
	for _, row := range rows(t, "values", "just_intervals.csv") {
		off[row[0]] = -number(t, row[3])
	}
	for _, c := range []struct {
		chord   string
		strings string
		ratios  []string // string 1 first
		seventh pitch.Sevenths
	}{
		{"G", "G2 B2 D3 G3 B3 D4", []string{"3/2", "5/4", "1/1", "3/2", "5/4", "1/1"}, pitch.FiveLimit},
		{"Dm", "D2 A2 D3 F3 A3 D4", []string{"1/1", "3/2", "6/5", "1/1", "3/2", "1/1"}, pitch.FiveLimit},
		{"D7", "D2 A2 D3 F#3 C4 D4", []string{"1/1", "7/4", "5/4", "1/1", "3/2", "1/1"}, pitch.Harmonic},
		{"C6", "C3 E3 G3 A3 C4 E4", []string{"5/4", "1/1", "5/3", "3/2", "5/4", "1/1"}, pitch.FiveLimit},
	} {
		chord, err := pitch.ParseChord(c.chord)
		if err != nil {
			t.Fatal(err)
		}
		names, err := retune.ParseTuning(c.strings)
		if err != nil {
			t.Fatal(err)
		}
		r := &rig.Rig{}
		for _, n := range names {
			r.Strings = append(r.Strings, rig.String{Open: n, Wire: wire.Plain(0.4)})
		}
		tuned, err := retune.NewTuned(r, chord, 440, 1, c.seventh)
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range tuned.Targets {
			want, ok := off[c.ratios[i]]
			if !ok {
				t.Fatalf("the table has no %s", c.ratios[i])
			}
			if math.Abs(float64(x.JustOff)-want) > 0.001 {
				t.Errorf("%s, string %d: %.4f cents off equal, want %.4f for %s", c.chord, i+1, x.JustOff, want, c.ratios[i])
			}
		}
	}
}

// Facts of the trade (common practice, no source): strings made for A6 reach
// C6 with moves of one semitone or none; a hollow-neck acoustic should not
// carry a tight tuning and does carry open D.
func TestFactsOfRetuning(t *testing.T) {
	a6, _ := rig.Builtin("lap8-a6")
	c6, err := retune.ParseTuning("C3 E3 G3 A3 C4 E4")
	if err != nil {
		t.Fatal(err)
	}
	p, err := retune.NewPlan(a6, c6, "", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range p.Moves[:6] {
		if m.Semitones < -1 || m.Semitones > 1 {
			t.Errorf("string %d moves %d semitones", m.String, m.Semitones)
		}
	}
	hollow, _ := rig.Builtin("hollow-neck-open-d")
	if l := hollow.Load(); l.Finding != rig.Fine {
		t.Errorf("open D on a hollow neck: %s, %v", l.Finding, l.Reasons)
	}
	g, ok := retune.FindTuning("high-open-g")
	if !ok {
		t.Fatal("high open G is not known")
	}
	// With the gauges usual for that tuning.
	tight := hollow.Clone()
	for i := range tight.Strings {
		tight.Strings[i] = rig.String{Open: g.Pitches[i], Wire: g.Gauges[i]}
	}
	if l := tight.Load(); l.Finding == rig.Fine || len(l.Reasons) == 0 {
		t.Errorf("high open G on a hollow neck: %s, %v", l.Finding, l.Reasons)
	}
}
