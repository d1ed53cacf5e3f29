package accompany

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/feel"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// TestWhatASignStrikes: over a C whose bass is on the sixth string at the fifth fret, the fifth is the G below, the
// sixth the A, near is a semitone below the next bass and the fifth where none follows; a diminished chord has its
// own fifth (common practice, no source).
func TestWhatASignStrikes(t *testing.T) {
	v := openG(t)
	b := &builder{v: v, rig: v.n.Rig}
	way := func(name string) *voicing {
		return v.of(chordOf(t, name), pitch.Key{}, false)[0]
	}
	words := func(s *struck) string {
		var out []string
		for _, n := range s.notes {
			out = append(out, n.Name.String())
		}
		return strings.Join(out, " ")
	}
	follows := map[string]*spell{"": nil, "D": {chord: chordOf(t, "D")}, "F/A": {chord: chordOf(t, "F/A")}}
	for _, c := range []struct {
		chord, next string
		sign        feel.Sign
		want        string
	}{
		{"C", "", feel.Bass, "C3"}, {"C", "", feel.Fifth, "G2"}, {"C", "", feel.Sixth, "A2"}, {"C", "", feel.Near, "G2"}, {"C", "D", feel.Near, "C#3"}, {"C", "F/A", feel.Near, "G#2"},
		{"C", "", feel.Grip, "G4 E4 C4"}, {"C", "", feel.Low, "C4"}, {"C", "", feel.Mid, "E4"}, {"C", "", feel.High, "G4"},
		{"C", "", feel.Whole, "G4 E4 C4 C3"}, {"C", "", feel.Swell, "G4 E4 C4 C3"},
		{"Bdim", "", feel.Fifth, "F3"}, {"Caug", "", feel.Fifth, "G#3"}, {"Dsus4", "", feel.Fifth, "A2"},
	} {
		x := way(c.chord)
		b.way, b.spells = []*voicing{x}, []*spell{{next: follows[c.next]}}
		if got := words(b.strikes(0, false, c.sign)); got != c.want {
			t.Errorf("%s before %q, %c strikes %s, want %s", c.chord, c.next, c.sign, got, c.want)
		}
	}
	// The second grip of a chord is struck by itself; a grip without a bass beside it too.
	x, d := *way("C"), way("D")
	x.second = d.grip
	b.way, b.spells = []*voicing{&x}, []*spell{{}}
	for _, c := range []struct {
		second bool
		sign   feel.Sign
		want   *struck
	}{{true, feel.Whole, d.grip}, {true, feel.Grip, d.grip}, {false, feel.Whole, x.whole}, {false, feel.Grip, x.grip}, {true, feel.Bass, x.bass}} {
		if got := b.strikes(0, c.second, c.sign); got != c.want {
			t.Errorf("the second half %v: %c strikes %s", c.second, c.sign, words(got))
		}
	}
	if b.way[0] = d; b.strikes(0, true, feel.Whole) != d.whole || d.whole == nil {
		t.Errorf("D has one grip, and its second half is struck %s", words(b.strikes(0, true, feel.Whole)))
	}
	x.whole = nil
	if b.way[0] = &x; b.strikes(0, false, feel.Whole) != x.grip {
		t.Error("no hand has bass and grip at once, and both are struck")
	}
}

// TestOtherBasses: another bass is the nearest to the chord's own that lies below the top of the grip, of two as near the
// easier; where there is none the own bass is struck again, and nothing where it has none.
func TestOtherBasses(t *testing.T) {
	v := openG(t)
	b := &builder{v: v}
	c := v.of(chordOf(t, "C"), pitch.Key{}, false)[0]
	g := pitch.Class{Letter: pitch.G}
	at := func(own, top int) string {
		x := *c
		grip := *c.grip
		grip.high = top
		x.grip, x.bass = &grip, stops(steel.Straight, [3]int{6, 0, own})
		s := b.other(&x, g)
		if s == x.bass {
			return "own"
		}
		return GripWords(s.notes)
	}
	for _, x := range []struct {
		own, top int
		want     string
	}{
		{48, 64, "6@0"}, {36, 64, "6@0"}, {55, 64, "4@5"}, {60, 64, "4@5"}, {60, 56, "4@5"}, {60, 55, "6@0"}, {60, 44, "6@0"}, {60, 43, "own"}, {49, 64, "4@5"}, {50, 64, "4@5"},
	} {
		if got := at(x.own, x.top); got != x.want {
			t.Errorf("beside a bass on key %d under a grip up to %d G is %s, want %s", x.own, x.top, got, x.want)
		}
	}
	none := *c
	none.bass = nil
	if s := b.other(&none, g); s != nil {
		t.Errorf("a chord without a bass has %v", s.notes)
	}
}

// TestBassAndGripInTurn: where a chord is to be struck whole and no hand has bass and grip at once, the grip comes in
// the silence before the next stroke where that is as long, or else halfway; only the bass has the weight. A grip
// that has the bass in it is struck once.
func TestBassAndGripInTurn(t *testing.T) {
	const q = tune.Whole / 4
	chord := chordOf(t, "C")
	bass := stops(steel.Straight, [3]int{6, 5, 48})
	triad := stops(steel.Straight, [3]int{1, 5, 67}, [3]int{2, 5, 64}, [3]int{3, 5, 60})
	third := stops(steel.Straight, [3]int{1, 5, 67}, [3]int{2, 5, 64})
	whole := stops(steel.Straight, [3]int{1, 5, 67}, [3]int{2, 5, 64}, [3]int{6, 5, 48})
	for name, c := range map[string]struct {
		x     *voicing
		sign  feel.Sign
		until tune.Ticks
		rig   string
		want  string
	}{
		"at once":           {&voicing{grip: third, bass: bass, whole: whole}, feel.Whole, 8, "reso-open-g", "1+2 48 64 67 >"},
		"in turn":           {&voicing{grip: third, bass: bass}, feel.Whole, 8, "reso-open-g", "1+2 48 >, 3+2 64 67"},
		"just in time":      {&voicing{grip: third, bass: bass}, feel.Whole, 5, "reso-open-g", "1+2 48 >, 3+2 64 67"},
		"halfway":           {&voicing{grip: third, bass: bass}, feel.Whole, 4, "reso-open-g", "1+1 48 >, 2+1 64 67"},
		"straight after":    {&voicing{grip: third, bass: bass}, feel.Whole, 3, "reso-open-g", "1+1 48 >, 2+1 64 67"},
		"no bass":           {&voicing{grip: third}, feel.Whole, 8, "reso-open-g", "1+2 64 67 >"},
		"the bass is in it": {&voicing{grip: triad, bass: bass}, feel.Whole, 8, "reso-open-g", "1+2 60 64 67 >"},
		"the grip alone":    {&voicing{grip: third, bass: bass}, feel.Grip, 8, "reso-open-g", "1+2 64 67 >"},
		"the bass alone":    {&voicing{grip: third, bass: bass}, feel.Bass, 8, "reso-open-g", "1+2 48 >"},
		"none to strike":    {&voicing{grip: third}, feel.Bass, 8, "reso-open-g", ""},
		"chopped":           {&voicing{grip: third, bass: bass}, feel.Chop, 8, "reso-open-g", "1+2 59x 62x >"},
		"swelled in":        {&voicing{grip: third, bass: bass}, feel.Swell, 4, "lap6-c6", "1+1 48 > <, 2+1 64 67 <"},
		"no pedal":          {&voicing{grip: third, bass: bass}, feel.Swell, 4, "reso-open-g", "1+1 48 >, 2+1 64 67"},
	} {
		c.x.chord = chord
		b := &builder{rig: rigtest.Builtin(t, c.rig), way: []*voicing{c.x}, spells: []*spell{{}}, played: map[place]*struck{}}
		var got []string
		for _, e := range b.events(0, 2, &feel.Stroke{At: q, Len: 2 * q, Sign: c.sign, Accent: true}, c.until*q) {
			w := fmt.Sprintf("%d+%d", e.At/q, e.Len/q)
			for _, n := range e.Notes {
				w += fmt.Sprintf(" %d", n.Name.Key())
				if n.Chop {
					w += "x"
				}
			}
			if slices.Contains(e.Marks, tune.Accent) {
				w += " >"
			}
			if slices.Contains(e.Marks, tune.Swell) {
				w += " <"
			}
			if b.played[place{2, e.At}] == nil {
				t.Errorf("%s: what is struck at %s is forgotten", name, e.At)
			}
			got = append(got, w)
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
	x := &voicing{chord: chord, grip: third, bass: bass}
	b := &builder{rig: rigtest.Builtin(t, "reso-open-g"), way: []*voicing{x}, spells: []*spell{{}}, played: map[place]*struck{}}
	if e := b.events(0, 0, &feel.Stroke{Len: q, Sign: feel.Grip}, q); len(e) != 1 || len(e[0].Marks) > 0 {
		t.Errorf("a plain stroke: %+v", e)
	}
}

// TestSymbolsOfAPart: a part prints the chords as they are played, over the bass that is written, and those that pass
// where they pass; a chord that goes on over the barline is not printed again.
func TestSymbolsOfAPart(t *testing.T) {
	const q = tune.Whole / 4
	at := func(name string, from tune.Ticks) tune.ChordAt {
		c := chordOf(t, name)
		return tune.ChordAt{At: from * q, Text: name, Chord: &c}
	}
	c, pass, d := chordOf(t, "C6"), chordOf(t, "C#dim7"), chordOf(t, "Dm9")
	b := &builder{
		spells: []*spell{
			{chord: c, parts: []part{{bar: 0, to: 4 * q}, {bar: 1, to: 2 * q}, {bar: 1, from: 2 * q, to: 3 * q}}},
			{chord: pass, parts: []part{{bar: 1, from: 3 * q, to: 4 * q}}},
			{chord: d, parts: []part{{bar: 2, from: q, to: 4 * q}}},
		},
		way: []*voicing{{chord: c}, {chord: pass}, {chord: d}},
	}
	for _, x := range []struct {
		index int
		bar   tune.Bar
		want  string
	}{
		{0, tune.Bar{Chords: []tune.ChordAt{at("C", 0)}}, "C6@0"},
		{1, tune.Bar{}, "C#dim7@3"},
		{1, tune.Bar{Chords: []tune.ChordAt{at("C", 2)}}, "C6@2 C#dim7@3"},
		{1, tune.Bar{Chords: []tune.ChordAt{at("C/G", 2)}}, "C6/G@2 C#dim7@3"},
		{2, tune.Bar{Chords: []tune.ChordAt{{Text: "N.C."}, at("Dm", 1)}}, "N.C.@0 Dm9@1"},
		{2, tune.Bar{Chords: []tune.ChordAt{at("Dm", 1), at("G", 4)}}, "Dm9@1 G@4"},
		{2, tune.Bar{Chords: []tune.ChordAt{at("G", 0), {At: 2 * q, Text: "softly"}, at("Dm", 3)}}, "G@0 softly@2 Dm9@3"},
		{1, tune.Bar{Chords: []tune.ChordAt{{At: 3*q + q/2, Text: "softly"}}}, "C#dim7@3 softly@3"},
	} {
		b.symbols(&x.bar, x.index)
		var got []string
		for _, c := range x.bar.Chords {
			got = append(got, fmt.Sprintf("%s@%d", c.Text, c.At/q))
		}
		if g := strings.Join(got, " "); g != x.want {
			t.Errorf("bar index %d prints %s, want %s", x.index, g, x.want)
		}
	}
}

// TestShapeOfAPart: every note is stopped on the string that the chord's way has, a slanted one at the fret that it is
// nearest to; a note that goes on over the barline is held there.
func TestShapeOfAPart(t *testing.T) {
	tn := abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:C\n[CE]4-|[CE]2z2|[DF]4|]\n")
	lean := stops(steel.Forward, [3]int{2, 5, 64}, [3]int{3, 5, 60})
	lean.notes[0].Fret, lean.notes[1].Fret = 4.6, 5.4
	b := &builder{played: map[place]*struck{{0, 0}: lean, {2, 0}: stops(steel.Straight, [3]int{1, 3, 65}, [3]int{4, 12, 62})}}
	var got []string
	shape := b.shape(tn)
	for _, notes := range shape.Strokes {
		w := ""
		for _, n := range notes {
			w += fmt.Sprintf("%d@%d", n.String, n.Fret)
			if n.Slanted && n.Attack == tab.Tied {
				w += " slanted and held "
			} else if n.Slanted {
				w += " slanted "
			} else {
				w += " "
			}
		}
		got = append(got, strings.TrimSpace(w))
	}
	want := "2@5 slanted 3@5 slanted, 2@5 slanted and held 3@5 slanted and held, 1@3 4@12"
	if g := strings.Join(got, ", "); g != want || !shape.Whole {
		t.Errorf("%s, want %s", g, want)
	}
}

// TestWhatIsDamped: a stroke is damped before a rest, be it over the barline, and before another chord; what the palm
// stops is not, nor the last (common practice, no source).
func TestWhatIsDamped(t *testing.T) {
	const q = tune.Whole / 4
	perf, faults := tune.Checked(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nz4|z4|z4|]\n"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	stroke := func(bar int, at, length tune.Ticks) tab.Stroke {
		return tab.Stroke{BarIndex: bar, At: at * q, Len: length * q, Plucks: []tab.Pluck{{String: 1}, {String: 2, Attack: tab.Chopped}}}
	}
	for name, c := range map[string]struct {
		strokes []tab.Stroke
		change  place
		want    string
	}{
		"one after the other":       {[]tab.Stroke{stroke(0, 0, 1), stroke(0, 1, 1)}, place{}, "rings rings"},
		"a rest between":            {[]tab.Stroke{stroke(0, 0, 1), stroke(0, 2, 1)}, place{}, "damped rings"},
		"up to the barline":         {[]tab.Stroke{stroke(0, 2, 2), stroke(1, 0, 4)}, place{}, "rings rings"},
		"a rest before the barline": {[]tab.Stroke{stroke(0, 2, 1), stroke(1, 0, 4)}, place{}, "damped rings"},
		"a rest after the barline":  {[]tab.Stroke{stroke(0, 2, 2), stroke(1, 1, 3)}, place{}, "damped rings"},
		"a bar of rest":             {[]tab.Stroke{stroke(0, 2, 2), stroke(2, 0, 4)}, place{}, "damped rings"},
		"later bars":                {[]tab.Stroke{stroke(1, 0, 4), stroke(2, 0, 1), stroke(2, 1, 1)}, place{}, "rings rings rings"},
		"another chord":             {[]tab.Stroke{stroke(0, 0, 4), stroke(1, 0, 2), stroke(1, 2, 2)}, place{1, 2 * q}, "rings damped rings"},
		"over the barline":          {[]tab.Stroke{stroke(0, 0, 4), stroke(1, 0, 2), stroke(1, 2, 2)}, place{1, 0}, "damped rings rings"},
		"alone":                     {[]tab.Stroke{stroke(0, 0, 1)}, place{}, "rings"},
		"none":                      {nil, place{}, ""},
	} {
		b := &builder{perf: perf, spells: []*spell{{parts: []part{{bar: 0}}}, {parts: []part{{bar: c.change.bar, from: c.change.at}}}}}
		b.damp(&arrange.Result{Tab: &tab.Tab{Strokes: c.strokes}})
		var got []string
		for _, s := range c.strokes {
			w := "rings"
			if s.Plucks[0].Damp {
				w = "damped"
			}
			if s.Plucks[1].Damp {
				w += " and the palm is lifted"
			}
			got = append(got, w)
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
}

// TestTimeForTheGrip: the grip that comes after its bass has until the next stroke, the last of a chord until the chord
// ends.
func TestTimeForTheGrip(t *testing.T) {
	const e = tune.Whole / 8
	perf, faults := tune.Checked(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nz4|z4|]\n"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	whole := func(at, length tune.Ticks) feel.Stroke {
		return feel.Stroke{At: at * e, Len: length * e, Sign: feel.Whole}
	}
	x := &voicing{chord: chordOf(t, "C"), grip: stops(steel.Straight, [3]int{1, 5, 67}, [3]int{2, 5, 64}), bass: stops(steel.Straight, [3]int{6, 5, 48})}
	s := &spell{chord: x.chord, parts: []part{{bar: 0, to: 8 * e, strokes: []feel.Stroke{whole(0, 2), whole(3, 1), whole(6, 1)}}}}
	b := &builder{perf: perf, rig: rigtest.Builtin(t, "reso-open-g"), o: &Options{Feel: feelOf(t, "boom-chuck")}, way: []*voicing{x}, spells: []*spell{s}, played: map[place]*struck{}}
	tn, err := b.write()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, ev := range tn.Bars[0].Lines[0] {
		if ev.Kind == tune.Sounding {
			got = append(got, fmt.Sprintf("%d+%d", ev.At/e, ev.Len/e))
		}
	}
	if g, want := strings.Join(got, " "), "0+1 1+1 3+1 4+1 6+1 7+1"; g != want {
		t.Errorf("struck at %s, want %s", g, want)
	}
}
