package accompany

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"lapwright/feel"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/tune"
)

func chordOf(t *testing.T, name string) pitch.Chord {
	t.Helper()
	c, err := pitch.ParseChord(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func feelOf(t *testing.T, name string) *feel.Feel {
	t.Helper()
	f, err := feel.Find(name)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestColoursOfChords: a rich feel puts the sixth on a major chord, the ninth on a sixth, the thirteenth or
// else the ninth on a seventh, and the seventh on a minor chord, but the sixth where that is the tonic of a
// minor key; a chord over another bass, and every chord of a plain feel, stays as it is written (common
// practice, no source). What is written is what is left where the rig has none of these.
func TestColoursOfChords(t *testing.T) {
	key := func(tonic pitch.Letter, mode pitch.Mode) pitch.Key {
		return pitch.Key{Tonic: pitch.Class{Letter: tonic}, Mode: mode}
	}
	for _, c := range []struct {
		chord string
		key   pitch.Key
		feel  string
		want  string
	}{
		{"C", key(pitch.C, pitch.Major), "swing", "C6 C"},
		{"C6", key(pitch.C, pitch.Major), "swing", "C6/9 C6"},
		{"G7", key(pitch.C, pitch.Major), "swing", "G13 G9 G7"},
		{"G9", key(pitch.C, pitch.Major), "swing", "G13 G9"},
		{"Fmaj7", key(pitch.C, pitch.Major), "swing", "Fmaj9 Fmaj7"},
		{"Bdim7", key(pitch.C, pitch.Major), "swing", "Bdim7"},
		{"Dm", key(pitch.C, pitch.Major), "swing", "Dm7 Dm"},
		{"Dm7", key(pitch.C, pitch.Major), "swing", "Dm9 Dm7"},
		{"Am", key(pitch.A, pitch.Minor), "swing", "Am6 Am"},
		{"Dm", key(pitch.A, pitch.Minor), "swing", "Dm7 Dm"},
		{"Am", key(pitch.A, pitch.Major), "swing", "Am7 Am"},
		{"Am7", key(pitch.A, pitch.Minor), "swing", "Am9 Am7"},
		{"A", key(pitch.A, pitch.Minor), "swing", "A6 A"},
		{"C/E", key(pitch.C, pitch.Major), "swing", "C/E"},
		{"C", key(pitch.C, pitch.Major), "boom-chuck", "C"},
		{"C/E", key(pitch.C, pitch.Major), "boom-chuck", "C/E"},
	} {
		var got []string
		for _, x := range coloured(chordOf(t, c.chord), c.key, feelOf(t, c.feel)) {
			got = append(got, x.String())
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s in %s is played in %s as %s, want %s", c.chord, c.key, c.feel, g, c.want)
		}
	}
}

// TestPassingChords: the last beat before a bass that rises by a whole tone is the diminished seventh a semitone
// up, where the chord has more than two beats in its bar: C, C#dim7, Dm (common practice, no source). It is the
// beat that is felt: of 6/8 there are two.
func TestPassingChords(t *testing.T) {
	const q = tune.Whole / 4
	swing := feelOf(t, "swing")
	for _, c := range []struct {
		from, to   string // the chord and the next
		f          *feel.Feel
		meter      tune.Meter
		begin, end tune.Ticks
		want       string
	}{
		{"C", "Dm", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, "C 0 to 3/4, C#dim7 3/4 to 1"},
		{"C", "Dm", swing, tune.Meter{Beats: 4, Unit: 4}, q, 4 * q, "C 1/4 to 3/4, C#dim7 3/4 to 1"},
		{"C", "Dm", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 2*q + q/2, "C 0 to 3/8, C#dim7 3/8 to 5/8"},
		{"C", "Dm", swing, tune.Meter{Beats: 4, Unit: 4}, 2 * q, 4 * q, ""},
		{"C", "Dm", swing, tune.Meter{Beats: 6, Unit: 8}, 0, 3 * q, ""},
		{"C", "Dm", swing, tune.Meter{Beats: 12, Unit: 8}, 0, 6 * q, "C 0 to 9/8, C#dim7 9/8 to 3/2"},
		{"B7", "C#m", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, "B7 0 to 3/4, B#dim7 3/4 to 1"},
		{"Bb", "C7", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, "Bb 0 to 3/4, Bdim7 3/4 to 1"},
		{"Dm", "C", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
		{"C", "E7", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
		{"C/E", "Dm", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
		{"C", "Dm/F", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
		{"C", "", swing, tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
		{"C", "Dm", feelOf(t, "boom-chuck"), tune.Meter{Beats: 4, Unit: 4}, 0, 4 * q, ""},
	} {
		tn := &tune.Tune{Bars: []tune.Bar{{Meter: c.meter, Len: c.meter.Len()}, {Meter: c.meter, Len: c.meter.Len()}}}
		// The chord holds from the first bar on into the second, which is the one that is parted.
		s := &spell{written: chordOf(t, c.from), seconds: 0.5, parts: []part{{bar: 0, to: c.meter.Len()}, {bar: 1, from: c.begin, to: c.end}}}
		if c.to != "" {
			s.next = &spell{written: chordOf(t, c.to)}
		}
		then := s.next
		between := passing(tn, s, c.f)
		got := ""
		if between != nil {
			a, b := s.parts[1], between.parts[0]
			got = fmt.Sprintf("%s %s to %s, %s %s to %s", s.written, a.from, a.to, between.written, b.from, b.to)
			if s.next != between || between.next != then || b.bar != 1 || len(between.parts) != 1 || between.seconds != 0.5 || s.parts[0].to != c.meter.Len() {
				t.Errorf("%s before %s: %+v is followed by %+v", c.from, c.to, s, between)
			}
		}
		if got != c.want {
			t.Errorf("%s before %s for %s to %s of %d/%d in %s: %q, want %q", c.from, c.to, c.begin, c.end, c.meter.Beats, c.meter.Unit, c.f.Name, got, c.want)
		}
	}
}

// spellsOf reads a tune and spells its chords.
func spellsOf(t *testing.T, src string) (*tune.Performance, []*spell) {
	t.Helper()
	p, faults := tune.Checked(abctest.Tune(t, src))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	all, _, err := spells(p)
	if err != nil {
		t.Fatal(err)
	}
	return p, all
}

// spelled tells the spells of a tune: "G 0:0-4 1:0-2 >" is G from the beginning of the first bar up to the half of
// the second, in quarters, and another chord follows at once.
func spelled(t *testing.T, src string) (string, []*spell) {
	t.Helper()
	_, all := spellsOf(t, src)
	var out []string
	for i, s := range all {
		w := s.written.String()
		for _, p := range s.parts {
			w += fmt.Sprintf(" %d:%g-%g", p.bar, float64(p.from)*4/float64(tune.Whole), float64(p.to)*4/float64(tune.Whole))
		}
		if s.next != nil {
			if i+1 == len(all) || s.next != all[i+1] {
				t.Errorf("%s is followed by %s", w, s.next.written)
			}
			w += " >"
		}
		out = append(out, w)
	}
	return strings.Join(out, ", "), all
}

// TestWhereChordsChange: a chord holds over barlines until another comes or "N.C." asks for silence; after silence
// the same chord begins anew; under a pickup there is none, though its chord is the first of the tune.
func TestWhereChordsChange(t *testing.T) {
	const head = "X:1\nM:4/4\nL:1/4\nK:G\n"
	for src, want := range map[string]string{
		`"G"z4|z4|"C"z4|]`:               "G 0:0-4 1:0-4 >, C 2:0-4",
		`"G"z2"C"z2|"C"z"G"z3|]`:         "G 0:0-2 >, C 0:2-4 1:0-1 >, G 1:1-4",
		`"G"z2"G"z2|]`:                   "G 0:0-2 0:2-4",
		`"G"z2"G/B"z2|]`:                 "G 0:0-2 >, G/B 0:2-4",
		`z2"G"z2|]`:                      "G 0:2-4",
		`z4|z"G"z3|]`:                    "G 1:1-4",
		`"G"z2"N.C."z2|"G"z4|]`:          "G 0:0-2, G 1:0-4",
		`"N.C."z2"G"z2|]`:                "G 0:2-4",
		`"G"z|z4|"C"z4|]`:                "G 1:0-4 >, C 2:0-4",
		`"G"z"D7"z|"G"z4|"C"z4|]`:        "G 1:0-4 >, C 2:0-4",
		`"D7"z|z2"G"z2|]`:                "D7 1:0-2 >, G 1:2-4",
		`"G"z"C"z"G"z"D7"z|"G"z4|]`:      "G 0:0-1 >, C 0:1-2 >, G 0:2-3 >, D7 0:3-4 >, G 1:0-4",
		`"G"z3/2"C"z3/2"D"z|"G"z4|]`:     "G 0:0-1.5 >, C 0:1.5-3 >, D 0:3-4 >, G 1:0-4",
		`"G"z2"hm hm"z2|"C"z4|]`:         "G 0:0-4 >, C 1:0-4",
		`"G"z2"N.C."z"G"z|"N.C."z4|z4|]`: "G 0:0-2, G 0:3-4",
	} {
		if got, _ := spelled(t, head+src+"\n"); got != want {
			t.Errorf("%s: %s, want %s", src, got, want)
		}
	}
	// A beat of the chord's first bar is how long there is to come to it.
	for src, want := range map[string]float64{
		"X:1\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n\"G\"z4|]\n": 0.5,
		"X:1\nM:4/4\nL:1/4\nQ:1/4=60\nK:G\nz\"G\"z3|]\n": 1,
		"X:1\nM:6/8\nL:1/8\nQ:3/8=80\nK:G\n\"G\"z6|]\n":  0.75,
	} {
		if _, all := spelled(t, src); all[0].seconds < want-1e-9 || all[0].seconds > want+1e-9 {
			t.Errorf("%q: a beat lasts %g s, want %g", src, all[0].seconds, want)
		}
	}
}

// TestChordWrittenAgain: a chord that is written once more inside a bar goes on with its figure, so that its bass goes
// on to the fifth; another chord begins the figure with its own bass (common practice, no source).
func TestChordWrittenAgain(t *testing.T) {
	const head = "X:1\nM:4/4\nL:1/4\nK:G\n"
	signs := func(src string) string {
		p, all := spellsOf(t, head+src+"\n")
		var out []string
		for _, s := range all {
			if err := s.fill(p.Tune, feelOf(t, "boom-chuck")); err != nil {
				t.Fatal(err)
			}
			w := ""
			for _, p := range s.parts {
				for _, st := range p.strokes {
					w += fmt.Sprintf("%c%d ", st.Sign, st.At*8/tune.Whole)
				}
			}
			out = append(out, strings.TrimSpace(w))
		}
		return strings.Join(out, ", ")
	}
	for src, want := range map[string]string{
		`"G"z4|]`:                     "b0 c2 f4 c6",
		`"G"z2"G"z2|]`:                "b0 c2 f4 c6",
		`"G"z2"C"z2|]`:                "b0 c2, b4 c6",
		`"G"z"C"z3|]`:                 "w0, b2 c4 f6",
		`z4|"G"z"G"z3|"C"z3"C"z|]`:    "b0 c2 f4 c6, b0 c2 f4 c6",
		`"G"z3"C"z|"C"z4|"G"z4|]`:     "b0 c2 f4, b6 b0 c2 f4 c6, b0 c2 f4 c6",
		`"G"z7/2"C"z/2|"C"z4|]`:       "b0 c2 f4 c6, b7 b0 c2 f4 c6",
		`"G"z4|"C"z2:|z"D7"z|"G"z4|]`: "b0 c2 f4 c6, b0 c2 f0, w2, b0 c2 f4 c6", // the repeat stands inside the bar
		`z|"G"z4|"D7"z2|"G"z4|z3|]`:   "b0 c2 f4 c6, b0 c2, b0 c2 f4 c6 b0 c2 f4",
	} {
		if got := signs(src); got != want {
			t.Errorf("%s is struck %s, want %s", src, got, want)
		}
	}
}

// TestHowItEnds: from where the last chord begins in the last bar it is struck once, whole, or swelled in where the
// feel swells, with the weight that it has there; a tune that comes back to its last bar goes on.
func TestHowItEnds(t *testing.T) {
	for _, c := range []struct {
		first  feel.Sign
		accent bool
		want   string
	}{
		{feel.Bass, false, "w 1/4+1/2 false"}, {feel.Whole, true, "w 1/4+1/2 true"}, {feel.Swell, false, "p 1/4+1/2 false"}, {feel.Grip, false, "w 1/4+1/2 false"},
	} {
		const q = tune.Whole / 4
		before := part{bar: 0, to: 4 * q, strokes: []feel.Stroke{{Len: q, Sign: feel.Bass}}}
		s := &spell{parts: []part{before, {bar: 1, from: q, to: 3 * q, strokes: []feel.Stroke{{At: q, Len: q, Sign: c.first, Accent: c.accent}, {At: 2 * q, Len: q, Sign: feel.Grip}}}}}
		s.end()
		last := s.parts[1].strokes
		if len(last) != 1 || len(s.parts[0].strokes) != 1 {
			t.Fatalf("%c: %d strokes at the end", c.first, len(last))
		}
		if got := fmt.Sprintf("%c %s+%s %v", last[0].Sign, last[0].At, last[0].Len, last[0].Accent); got != c.want {
			t.Errorf("it ends with %c as %s, want %s", c.first, got, c.want)
		}
	}
	const head = "X:1\nM:4/4\nL:1/4\nQ:1/4=120\nK:G\n"
	for src, want := range map[string]int{
		`"G"z4|"C"z4|"G"z4|]`:           1,
		`|:"G"z4|"C"z4:|`:               4, // comes twice
		`"G"z4|"C"z4|"G"z4|"N.C."z4|]`:  4, // of its last chord: the last bar is silent
		`"G"z4|"C"z4|"G"z2"N.C."z2|]`:   1,
		`|:"G"z4|"C"z4:|"G"z4|]`:        1,
		`|:"G"z4|[1"C"z4:|[2"G"z4|]`:    1,
		`"G"z4|"D7"z4|"G"z2"D7"z"G"z|]`: 1,
	} {
		p, faults := tune.Checked(abctest.Tune(t, head+src+"\n"))
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		b, err := newBuilder(context.Background(), p, openG(t).n.Rig, &Options{Feel: feelOf(t, "boom-chuck")})
		if err != nil {
			t.Fatal(err)
		}
		s := b.spells[len(b.spells)-1]
		if got := len(s.parts[len(s.parts)-1].strokes); got != want {
			t.Errorf("%s: its last chord has %d strokes at the end, want %d", src, got, want)
		}
	}
}

// TestOneStrokeHasOneGrip: a seventh chord that is struck once has one grip, however cheap its triad and its seventh
// would be one after the other.
func TestOneStrokeHasOneGrip(t *testing.T) {
	for src, want := range map[string][2]int{`"D7"z"G"z3|]`: {1, 1}, `"D7"z4|"G"z4|]`: {2, 4}} {
		p, faults := tune.Checked(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nz4|"+src+"\n"))
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		b, err := newBuilder(context.Background(), p, openG(t).n.Rig, &Options{Feel: feelOf(t, "boom-chuck")})
		if err != nil {
			t.Fatal(err)
		}
		grips := 1
		if b.way[0].second != nil {
			grips = 2
		}
		if got := [2]int{grips, len(b.spells[0].sounding())}; got != want {
			t.Errorf("%s: D7 has %d grips for %d strokes, want %v", src, got[0], got[1], want)
		}
	}
}
