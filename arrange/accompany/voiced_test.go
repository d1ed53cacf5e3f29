package accompany

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

func voicerOn(t *testing.T, rigName, feelName string, o Options) *voicer {
	t.Helper()
	return newVoicer(rigtest.Builtin(t, rigName), &o, feelOf(t, feelName), 0.5)
}

// TestChordsWithinOneFret: at the seventh fret alone, the steel square, open G has D, F# and A. D7 is played without
// its seventh there, as it is written, since no richer chord has it either; of C no two tones with its third are
// there; D over E has no bass.
func TestChordsWithinOneFret(t *testing.T) {
	o := Options{Closed: true, Square: true, Low: 7, High: 7}
	for name, want := range map[string]string{"D7": "D7 without b7, bass 6@7", "D": "D6, bass 6@7", "C": "", "D/E": "D/E, no bass"} {
		got := ""
		if all := voicerOn(t, "reso-open-g", "swing", o).of(chordOf(t, name), pitch.Key{}, true); len(all) > 0 {
			x := all[0]
			got = x.chord.String()
			if len(x.missing) > 0 {
				got += " without " + strings.Join(x.missing, " ")
			}
			if x.bass == nil {
				got += ", no bass"
			} else {
				got += ", bass " + GripWords(x.bass.notes)
			}
		}
		if got != want {
			t.Errorf("%s is played as %q, want %q", name, got, want)
		}
	}
	v := voicerOn(t, "reso-open-g", "swing", Options{})
	if a, b := v.of(chordOf(t, "G7"), pitch.Key{}, false), v.of(chordOf(t, "G7"), pitch.Key{}, false); a[0] != b[0] || a[0].chord.String() != "G13" {
		t.Errorf("G7 is %s, and asked again other ways to play it are found", a[0].chord)
	}
}

// TestTwoGripsOfASeventh: a seventh chord may have its triad first and its seventh later where two strokes have a
// grip; a triad has nothing to share. Every way tells the chord: it has the third and the seventh.
func TestTwoGripsOfASeventh(t *testing.T) {
	v := voicerOn(t, "reso-open-g", "boom-chuck", Options{})
	for _, c := range []struct {
		chord        string
		two, one, as bool // asked for two grips; some have one; some have two
	}{
		{"D7", true, true, true}, {"D7", false, true, false}, {"D", true, true, false},
	} {
		one, as := false, false
		all := v.voicings(chordOf(t, c.chord), c.two)
		for i, x := range all {
			one, as = one || x.second == nil, as || x.second != nil
			if len(x.missing) > 0 {
				t.Errorf("%s as %s lacks %v", c.chord, GripWords(x.grip.notes), x.missing)
			}
			if i > 0 && x.own < all[i-1].own {
				t.Errorf("%s: a dearer way before a cheaper", c.chord)
			}
			if x.second == nil {
				continue
			}
			if x.grip.has(pitch.Class{Letter: pitch.C}) || !x.second.has(pitch.Class{Letter: pitch.C}) {
				t.Errorf("D7 is shared as %s then %s", GripWords(x.grip.notes), GripWords(x.second.notes))
			}
		}
		if one != c.one || as != c.as {
			t.Errorf("%s, two asked for %v: one grip %v, two %v", c.chord, c.two, one, as)
		}
	}
}

// TestPriceOfAVoicing: a voicing costs what its grips cost, the way from one to the other, how far the voices go there,
// what neither sounds of what tells the chord, and its bass.
func TestPriceOfAVoicing(t *testing.T) {
	v := voicerOn(t, "reso-open-g", "boom-chuck", Options{})
	d := chordOf(t, "D7")
	third, seventh, _ := halves(d)
	g, then := v.ways(third)[0], v.ways(seventh)[0]
	check := func(what string, all []*voicing, alone int64, missing ...string) {
		t.Helper()
		if len(all) == 0 || len(all) > mostBasses {
			t.Fatalf("%s: %d ways", what, len(all))
		}
		for _, x := range all {
			want := alone + costNoBass
			if x.bass != nil {
				want = alone + v.under(x.grip, x.bass)
			}
			if x.own != want || !slices.Equal(x.missing, missing) {
				t.Errorf("%s costs %d without %v, want %d without %v", what, x.own, x.missing, want, missing)
			}
		}
	}
	cost := int64(g.grip.Cost)
	check("a triad of D7", v.with(d, g, nil), cost+costTone, "b7")
	check("a triad of D", v.with(chordOf(t, "D"), g, nil), cost)
	both := cost + int64(then.grip.Cost) + v.step(g, then) + costVoice*int64(moved(g, then))
	if moved(g, then) == 0 || v.step(g, then) == 0 {
		t.Fatal("the two grips are one")
	}
	check("D7 shared", v.with(d, g, then), both)
	check("D7 with a triad twice", v.with(d, g, g), 2*cost+v.step(g, g)+costTone, "b7")
	narrow := voicerOn(t, "reso-open-g", "boom-chuck", Options{Closed: true, Square: true, Low: 7, High: 7})
	at7 := narrow.ways(wants(chordOf(t, "D"))[0])[0]
	if all := narrow.with(chordOf(t, "D/E"), at7, nil); len(all) != 1 || all[0].bass != nil || all[0].own != int64(at7.grip.Cost)+costNoBass {
		t.Errorf("D over E where no E is: %+v", all)
	}
}

// TestLackOfAWay: what a way leaves out, skips, leans over and has too few of is added up.
func TestLackOfAWay(t *testing.T) {
	if got := lackOf(&grip.Price{Lacking: 1, Gaps: 10, Third: 100, Few: 1000, Fingers: 50000, Inverted: 60000, Engaging: 70000}); got != 1111 {
		t.Errorf("a way that lacks 1, 10, 100 and 1000 lacks %d", got)
	}
}

// TestSteelUnderOneNote: where a class lies on one string, an octave apart, open too unless that is ruled out, and
// with the benders of the grip or without.
func TestSteelUnderOneNote(t *testing.T) {
	for _, c := range []struct {
		rig    string
		o      Options
		chord  string // whose first grip it is for
		bend   rig.BenderSet
		string int
		class  string
		want   string
	}{
		{"reso-open-g", Options{}, "G", 0, 6, "G", "6@0 6@12 6@24"},
		{"reso-open-g", Options{}, "G", 0, 6, "A", "6@2 6@14"},
		{"reso-open-g", Options{}, "G", 0, 5, "A", "5@10 5@22"},
		{"reso-open-g", Options{Closed: true}, "G", 0, 6, "G", "6@12 6@24"},
		{"reso-open-g", Options{Low: 3}, "C", 0, 6, "G", "6@0 6@12 6@24"},
		{"reso-open-g", Options{Low: 3}, "C", 0, 6, "A", "6@14"},
		{"reso-open-g", Options{Low: 2, High: 13}, "C", 0, 6, "A", "6@2"},
		{"reso-open-g", Options{High: 14}, "C", 0, 6, "A", "6@2 6@14"},
		{"reso-open-g", Options{High: 13}, "C", 0, 6, "A", "6@2"},
		{"bender-open-d", Options{High: 14}, "D", 0, 3, "G", "3@1 3@13"},
		{"bender-open-d", Options{High: 14}, "D", 1, 3, "G", "3@0 3@12 3@1 3@13"},
		{"bender-open-d", Options{High: 14}, "D", 3, 3, "G", "3@1 3@13 3@0 3@12"}, // no player takes both for one note,
	} {
		v := voicerOn(t, c.rig, "boom-chuck", c.o)
		g := *v.ways(wants(chordOf(t, c.chord))[0])[0]
		bent := *g.grip
		bent.Benders = c.bend
		g.grip = &bent
		k, _ := pitch.ParseClass(c.class)
		var got []string
		for _, s := range v.single(c.string, k, &g) {
			got = append(got, GripWords(s.notes))
			if s.low != s.notes[0].Name.Key() || s.low%12 != k.Semitone() || s.high != s.low {
				t.Errorf("%s on string %d of %s is key %d", c.class, c.string, c.rig, s.low)
			}
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s on string %d of %s, %+v, benders %d: %s, want %s", c.class, c.string, c.rig, c.o, c.bend, g, c.want)
		}
	}
}

// TestBassUnderASlant: where the steel leans for a grip and crosses the bass on its fret, the bass is struck without
// moving it.
func TestBassUnderASlant(t *testing.T) {
	v := voicerOn(t, "lap6-c6", "boom-chuck", Options{})
	stay := 0
	for _, g := range v.ways(wants(chordOf(t, "G7"))[0]) {
		if !g.grip.Slanted() {
			continue
		}
		for _, n := range g.notes {
			for _, b := range v.single(n.String, n.Name.Class, g) {
				if b.low != n.Name.Key() {
					continue
				}
				if b.grip.Place != g.grip.Place || v.step(g, b) != 0 || v.step(b, g) != 0 {
					t.Errorf("under %s string %d alone moves the steel", GripWords(g.notes), n.String)
				}
				stay++
			}
		}
	}
	if stay == 0 {
		t.Error("no slanted G7")
	}
}

// TestBendersMoveABass: a bass found without the bender that its grip has is stopped a fret lower under it; a string
// that no bender moves stays where it is, and a slanted one where the steel crosses it. Two strings of one pitch are
// no grip, nor what no steel stops.
func TestBendersMoveABass(t *testing.T) {
	v := voicerOn(t, "bender-open-d", "boom-chuck", Options{})
	at := func(notes ...[3]int) []grip.Sounded {
		var out []grip.Sounded
		for _, n := range notes {
			out = append(out, grip.Sounded{String: n[0], Fret: float64(n[1]), Name: pitch.SpellKey(n[2], 0)})
		}
		return out
	}
	for name, c := range map[string]struct {
		notes   []grip.Sounded
		benders rig.BenderSet
		want    string
	}{
		"straight":            {at([3]int{2, 5, 62}, [3]int{3, 5, 59}, [3]int{4, 5, 55}), 0, "4@5 3@5 2@5"},
		"bent":                {at([3]int{2, 5, 62}, [3]int{3, 5, 60}, [3]int{4, 5, 55}), 1, "4@5 3@5 2@5"},
		"found unbent":        {at([3]int{2, 5, 62}, [3]int{3, 6, 60}, [3]int{4, 5, 55}), 1, "4@5 3@5 2@5"},
		"one pitch":           {at([3]int{1, 0, 62}, [3]int{2, 5, 62}), 0, ""},
		"two places at once":  {at([3]int{1, 5, 67}, [3]int{2, 12, 69}), 0, ""},
		"a semitone apart":    {at([3]int{2, 5, 62}, [3]int{3, 7, 61}), 0, ""},
		"as the other strung": {at([3]int{2, 5, 62}, [3]int{3, 5, 60}, [3]int{4, 5, 55}), 0, ""},
	} {
		got := ""
		if s := v.strike(c.notes, c.benders); s != nil {
			got = GripWords(s.notes)
			keys := []int{}
			for i, w := range s.due.Wants {
				keys = append(keys, int(w.Key))
				if w.Ref.Note != len(s.notes)-1-i {
					t.Errorf("%s: note %d from the top is number %d from the bottom", name, i, w.Ref.Note)
				}
			}
			if !slices.IsSortedFunc(keys, func(a, b int) int { return b - a }) || s.high != keys[0] || s.low != keys[len(keys)-1] || s.grip.Benders != c.benders {
				t.Errorf("%s: keys %v from %d to %d, benders %d", name, keys, s.low, s.high, s.grip.Benders)
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
	// Slants cross the outer strings of three a little off the fret.
	off := 0
	c6 := voicerOn(t, "lap6-c6", "boom-chuck", Options{})
	for _, s := range c6.ways(wants(chordOf(t, "G7"))[0]) {
		for _, n := range s.notes {
			if n.Fret != float64(int(n.Fret)) {
				off++
			}
		}
	}
	if off == 0 {
		t.Error("no string of a slanted G7 is off its fret")
	}
}

// TestStepsFromOpenStrings: from strings that are played open the hand may be anywhere; from a stopped grip it has to
// come.
func TestStepsFromOpenStrings(t *testing.T) {
	v := voicerOn(t, "reso-open-g", "boom-chuck", Options{})
	first := func(name string, open bool) *struck {
		for _, s := range v.ways(wants(chordOf(t, name))[0]) {
			if (s.grip.Kind == steel.Lifted) == open {
				return s
			}
		}
		t.Fatalf("no such %s", name)
		return nil
	}
	open, c, d := first("G", true), first("C", false), first("D", false)
	for name, x := range map[string]struct {
		a, b *struck
		hand int32
	}{
		"open to C": {open, c, -1}, "open to D": {open, d, -1}, "C to D": {c, d, c.grip.Hand}, "D to C": {d, c, d.grip.Hand}, "C to open": {c, open, c.grip.Hand},
	} {
		st, ok := v.n.Step(x.hand, x.a.grip, x.b.grip, &x.a.due, &x.b.due)
		if got := v.step(x.a, x.b); !ok || got != int64(st.Sum()) {
			t.Errorf("%s costs %d, want %d", name, got, st.Sum())
		}
	}
}

// TestChangeOfChords: a change costs the move of the steel from the grip that the first chord ends on, and half of how
// far every voice is from the nearest of the other chord, looked at from both.
func TestChangeOfChords(t *testing.T) {
	v := voicerOn(t, "reso-open-g", "boom-chuck", Options{})
	g, c, d := v.ways(wants(chordOf(t, "G"))[0])[0], v.ways(wants(chordOf(t, "C"))[0])[0], v.ways(wants(chordOf(t, "D"))[0])[0]
	for _, x := range []struct {
		a, b *voicing
		from *struck
	}{
		{&voicing{grip: g}, &voicing{grip: c}, g}, {&voicing{grip: g, second: d}, &voicing{grip: c}, d}, {&voicing{grip: g}, &voicing{grip: c, second: d}, g},
	} {
		want := v.step(x.from, c) + int64(float64(costVoice)*float64(moved(x.from, c)+moved(c, x.from))/2)
		if got := v.change(x.a, x.b); got != want || moved(x.from, c) == 0 {
			t.Errorf("from %s to %s costs %d, want %d", GripWords(x.from.notes), GripWords(c.notes), got, want)
		}
	}
	both := &voicing{grip: g, second: d}
	if both.half(false) != g || both.half(true) != d || (&voicing{grip: c}).half(true) != c {
		t.Error("the halves of a chord are mixed up")
	}
}

// TestOfEqualsTheFirst: where two ways cost the same the first is taken, for the first chord, between and for the last.
func TestOfEqualsTheFirst(t *testing.T) {
	v := openG(t)
	g := v.ways(wants(chordOf(t, "G"))[0])[0]
	row := func(own ...int64) []*voicing {
		var out []*voicing
		for _, c := range own {
			out = append(out, &voicing{grip: g, own: c})
		}
		return out
	}
	for _, c := range []struct {
		rows [][]*voicing
		want string
	}{
		{[][]*voicing{row(3, 3)}, "0"}, {[][]*voicing{row(4, 3, 3)}, "1"},
		{[][]*voicing{row(3, 3), row(2, 2), row(1, 1)}, "0 0 0"}, {[][]*voicing{row(3, 1, 1), row(2, 2), row(5, 1, 1)}, "1 0 1"},
		{[][]*voicing{row(0, 0), row(0, 0)}, "0 0"},
	} {
		way, cost := v.lead(c.rows)
		var got []string
		want := int64(0)
		for k, x := range way {
			got = append(got, fmt.Sprint(slices.Index(c.rows[k], x)))
			want += x.own
			if k > 0 {
				want += v.change(way[k-1], x)
			}
		}
		if g := strings.Join(got, " "); g != c.want || cost != want {
			t.Errorf("%s is taken at %d, want %s at %d", g, cost, c.want, want)
		}
	}
	if way, cost := v.lead(nil); way != nil || cost != 0 {
		t.Errorf("of nothing %v at %d", way, cost)
	}
}

// TestWhichWayIsLearnt: of a chord that comes again the way that is taken most often is learnt, and of two that are
// taken as often the cheaper; another is taken where that saves more than it costs to learn a second.
func TestWhichWayIsLearnt(t *testing.T) {
	v := openG(t)
	shape := *v.ways(wants(chordOf(t, "G"))[0])[0]
	on := func(keys ...int) *struck { // one place of the steel: what differs is how far the voices move
		s := shape
		s.notes = nil
		for i, k := range keys {
			s.notes = append(s.notes, grip.Sounded{String: i + 1, Name: pitch.SpellKey(k, 0)})
		}
		return &s
	}
	low, high := &voicing{grip: on(60), own: 0}, &voicing{grip: on(66), own: 10}
	chord := []*voicing{low, high}
	near, far := []*voicing{{grip: on(60)}}, []*voicing{{grip: on(66)}}
	for name, c := range map[string]struct {
		rows [][]*voicing
		want string
	}{
		"each once":           {[][]*voicing{chord, near, far, chord}, "LL"},
		"twice high":          {[][]*voicing{chord, far, chord, far, near, chord}, "HHH"},
		"twice low":           {[][]*voicing{chord, near, chord, near, far, chord}, "LLL"},
		"it saves more twice": {[][]*voicing{far, chord, far, near, chord, near, chord, near}, "HLL"},
	} {
		got := ""
		for _, x := range v.leadAlike(c.rows) {
			switch x {
			case low:
				got += "L"
			case high:
				got += "H"
			}
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}
