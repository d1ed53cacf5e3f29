package drill

import (
	"context"
	"math"
	"slices"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

func key(t *testing.T, s string) pitch.Key {
	t.Helper()
	k, err := pitch.ParseKey(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func made(t *testing.T, kind, rigName, in string, level grip.Level) *Drill {
	t.Helper()
	k, err := Find(kind)
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin(rigName)
	d, err := Make(context.Background(), k, r, key(t, in), level)
	if err != nil {
		t.Fatalf("%s on %s: %v", kind, rigName, err)
	}
	return d
}

// sounds lists the key numbers that a tab strikes, stroke by stroke.
func sounds(d *Drill) [][]int {
	g := steel.New(d.Tab.Rig)
	var out [][]int
	for i := range d.Tab.Strokes {
		s := &d.Tab.Strokes[i]
		var keys []int
		for k := range s.Plucks {
			keys = append(keys, int(math.Round(tab.Key(g, s, &s.Plucks[k]))))
		}
		out = append(out, keys)
	}
	return out
}

// Every exercise that a rig has something for can be had in major and minor, is whole,
// has its speeds and exact pitches; what can't be had is said.
func TestEverywhere(t *testing.T) {
	for i, r := range rig.Builtins() {
		in := []string{"G", "A minor", "D", "C"}[i%4]
		for _, k := range Kinds() {
			d, err := Make(context.Background(), k, r, key(t, in), grip.Steady)
			if err != nil {
				if k.Name != "bender" || len(r.Benders) > 0 {
					t.Errorf("%s in %s on %s: %v", k.Name, in, r.Name, err)
				}
				continue
			}
			if l := d.Tab.Check(); len(l) > 0 {
				t.Errorf("%s on %s: %v", k.Name, r.Name, l)
			}
			if n := len(d.Tab.Compromises); n > 0 {
				t.Errorf("%s in %s on %s: %d compromises: %+v", k.Name, in, r.Name, n, d.Tab.Compromises[0])
			}
			if tempo := d.Tab.Tune.Bars[0].Tempos[0].PerMinute; int64(d.Kind.Start)*1000 != tempo || d.Kind.Target <= d.Kind.Start {
				t.Errorf("%s begins at %d, and its tempo is %d", k.Name, d.Kind.Start, tempo)
			}
		}
	}
}

// The major scale is tone, tone, semitone, tone, tone, tone, semitone.
func TestScale(t *testing.T) {
	got := sounds(made(t, "scale", "reso-open-g", "G", grip.Steady))
	want := []int{0, 2, 4, 5, 7, 9, 11, 12, 12, 11, 9, 7, 5, 4, 2, 0, 0}
	for i, k := range want {
		if len(got) != len(want) || len(got[i]) != 1 || got[i][0]-got[0][0] != k {
			t.Fatalf("%v", got)
		}
	}
	// Sixths of a major scale: major or minor, eight or nine semitones.
	for _, pair := range sounds(made(t, "sixths", "lap6-c6", "C", grip.Steady)) {
		if d := pair[0] - pair[1]; len(pair) != 2 || d != 8 && d != 9 {
			t.Errorf("a sixth of %d semitones", d)
		}
	}
}

// The notes of the exercises in a major key, in semitones above their first: of pairs the upper
// note, which here has the tonic, since on this neck the thirds lie nearer the nut under it.
// The chords are those of the first, fourth, fifth and first step.
func TestNotes(t *testing.T) {
	up, down := []int{0, 2, 4, 5, 7, 9, 11}, []int{12, 11, 9, 7, 5, 4, 2, 0}
	var arpeggio, roll, shift []int
	for _, root := range []int{0, 5, 7, 0} {
		for _, n := range []int{0, 4, 7, 12, 7, 4, 0, 4} {
			arpeggio = append(arpeggio, root+n)
		}
		for _, n := range []int{0, 4, 7, 0, 4, 7, 0, 7, 0, 4, 7, 0, 4, 7, 0, 7} { // three against four, twice
			roll = append(roll, root+n)
		}
	}
	for _, n := range []int{2, 4, 5, 7, 9, 11, 12} {
		shift = append(shift, 0, n)
	}
	for _, c := range []struct {
		kind, rig, in string
		want          []int
	}{
		{"thirds", "lap6-c6", "C", append(append(slices.Clone(up), down...), 0)},
		{"arpeggio", "reso-open-g", "G", append(arpeggio, 0)},
		{"roll", "reso-open-g", "G", append(roll, 0)},
		{"shift", "hollow-neck-open-d", "G", append(shift, 0)},
	} {
		var got []int
		all := sounds(made(t, c.kind, c.rig, c.in, grip.Steady))
		for _, keys := range all {
			got = append(got, slices.Max(keys)-slices.Max(all[0]))
			if c.kind == "thirds" && (len(keys) != 2 || keys[0]-keys[1] != 3 && keys[0]-keys[1] != 4) {
				t.Errorf("a third of %v", keys)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.kind, got, c.want)
		}
	}
}

// A shift is on the string that has the tonic lowest but not open, with an octave above it within the player's frets:
// of D B G D B G the first of those where it lies lowest.
func TestShiftsString(t *testing.T) {
	for in, want := range map[string][2]int{"G": {1, 5}, "A": {3, 2}, "C": {2, 1}, "D": {2, 3}, "B": {3, 4}} {
		p := made(t, "shift", "reso-open-g", in, grip.Steady).Tab.Strokes[0].Plucks[0]
		if p.String != want[0] || p.Fret != float64(want[1]) {
			t.Errorf("in %s a shift begins on string %d at fret %g, want %v", in, p.String, p.Fret, want)
		}
	}
}

func TestPlaced(t *testing.T) {
	// A shift stays on its string.
	d := made(t, "shift", "hollow-neck-open-d", "D", grip.Steady)
	for _, s := range d.Tab.Strokes {
		if s.Plucks[0].String != d.Tab.Strokes[0].Plucks[0].String || s.Plucks[0].Fret == 0 {
			t.Errorf("a shift goes to string %d, fret %g", s.Plucks[0].String, s.Plucks[0].Fret)
		}
	}
	// A slant exercise has five leaned strokes of nine: every other one leans or is laid square.
	d = made(t, "slant", "reso-open-g", "G", grip.Steady)
	for i, s := range d.Tab.Strokes {
		if leaned := s.Placement.Slanted(); leaned != (i%2 == 1 && i < 8) {
			t.Errorf("stroke %d leans: %v", i, leaned)
		}
	}
	// A unison is one pitch on two strings.
	d = made(t, "unison", "reso-open-g", "G", grip.Steady)
	all := sounds(d)
	for i := 0; i+1 < len(all); i += 2 {
		if all[i][0] != all[i+1][0] || d.Tab.Strokes[i].Plucks[0].String == d.Tab.Strokes[i+1].Plucks[0].String {
			t.Errorf("strokes %d and %d: %v and %v", i, i+1, all[i], all[i+1])
		}
	}
	// Blocked notes are stopped and followed by silence.
	d = made(t, "block", "reso-open-g", "A", grip.Steady)
	for i, s := range d.Tab.Strokes {
		if !s.Plucks[0].Damp || s.Len != tune.Whole/8 {
			t.Errorf("note %d rings", i)
		}
	}
	// A bender moves the pitch under one pluck and lets it go again.
	d = made(t, "bender", "pedal10-e9", "G", grip.Steady)
	r := d.Tab.Rig
	all = sounds(d)
	for i := range r.Benders {
		s := d.Tab.Strokes[3*i:]
		if s[0].Benders != 0 || !s[1].Benders.Has(i) && s[1].Benders == 0 || s[1].Plucks[0].Attack != tab.BentTo || all[3*i+1][0]-all[3*i][0] != r.Benders[i].Moves[0].Semitones {
			t.Errorf("bender %s: %v %v", r.Benders[i].Mark, s[1].Benders, all[3*i:3*i+3])
		}
	}
}

func TestRefused(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	bender, _ := Find("bender")
	if _, err := Make(context.Background(), bender, r, key(t, "G"), grip.Steady); err == nil || err.Error() != "the rig reso-open-g has no pedal, lever or palm bender" {
		t.Errorf("%v", err)
	}
	slant, _ := Find("slant")
	if _, err := Make(context.Background(), slant, r, key(t, "G"), grip.FirstYear); err == nil || err.Error() != "a first-year player does not lean the steel yet" {
		t.Errorf("%v", err)
	}
	if _, err := Find("juggling"); err == nil {
		t.Error("an unknown exercise")
	}
	if _, err := Make(context.Background(), Kind{Name: "x"}, r, key(t, "G"), grip.Steady); err == nil {
		t.Error("a kind of nobody's")
	}
}

// What a bender is worked between lies in the key that was asked for (the first version
// stood at the third fret whatever the key). The scale's classes are those of theory.
func TestBenderInKey(t *testing.T) {
	for name, classes := range map[string][]int{"D": {2, 4, 6, 7, 9, 11, 1}, "G": {7, 9, 11, 0, 2, 4, 6}, "A minor": {9, 11, 0, 2, 4, 5, 7}} {
		for _, r := range rig.Builtins() {
			if len(r.Benders) == 0 {
				continue
			}
			d := made(t, "bender", r.Name, name, grip.Steady)
			for i, keys := range sounds(d) {
				for _, k := range keys {
					if !slices.Contains(classes, k%12) {
						t.Errorf("%s in %s, stroke %d: key %d is not in the scale", r.Name, name, i, k)
					}
				}
			}
		}
	}
}

// An exercise goes no further up the neck than it must: over all rigs, kinds and keys a
// third fewer than in the first version lie beyond the 15th fret (36 of 96 scales,
// thirds and sixths then).
func TestPairsLieLow(t *testing.T) {
	far := 0
	for _, r := range rig.Builtins() {
		for _, kind := range []string{"scale", "thirds", "sixths"} {
			for _, in := range []string{"G", "C", "D", "A minor"} {
				d := made(t, kind, r.Name, in, grip.Steady)
				if _, high := d.Tab.Frets(); high > 15 {
					far++
				}
			}
		}
	}
	if far > 20 {
		t.Errorf("%d exercises go beyond the 15th fret", far)
	}
	for _, c := range [][2]string{{"lap6-c6", "C"}, {"lap6-c6", "G"}, {"lap8-a6", "C"}, {"pedal10-e9", "D"}} {
		for _, kind := range []string{"thirds", "sixths"} {
			if _, high := made(t, kind, c[0], c[1], grip.Steady).Tab.Frets(); high > 14 {
				t.Errorf("%s in %s on %s goes to fret %g", kind, c[1], c[0], high)
			}
		}
	}
}
