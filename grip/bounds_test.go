package grip

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

// A slant through a note and its neighbour is borrowed wherever package steel can lay
// one within the player's limits, and nowhere else: every two strings are tried.
func TestBorrowedSlantsAreAll(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil
	g := steel.New(r)
	lim := LimitsOf(Steady)
	met := 0
	for _, region := range []Region{{}, {Low: 11, High: 14}, {Low: 1, High: 3}} {
		low, high := max(1, region.Low), lim.Fret
		if region.High > 0 {
			high = region.High
		}
		n := NewNeck(r, lim, region)
		for key := 39; key <= 88; key++ {
			for _, other := range []int{key, key + 4, key - 7, key - 9, key + 14} {
				var want []string
				for s := 1; s <= 6; s++ {
					for o := 1; o <= 6; o++ {
						f, of := key-r.OpenKey(s, 0), other-r.OpenKey(o, 0)
						if f < low || f > high || of < low || of > high || max(f-of, of-f) > lim.SlantSpan {
							continue
						}
						p := steel.Placement{Kind: steel.Forward, First: int8(s), Last: int8(o), FirstFret: float64(f), LastFret: float64(of)}
						if s > o {
							p.First, p.Last, p.FirstFret, p.LastFret = p.Last, p.First, p.LastFret, p.FirstFret
						}
						if p.FirstFret < p.LastFret {
							p.Kind = steel.Reverse
						}
						if g.Check(p) == nil && math.Abs(g.Angle(p)) <= lim.Angle {
							want = append(want, fmt.Sprint(s, p))
						}
					}
				}
				var got []string
				due := &Due{Wants: []Note{{Key: int16(key), Kind: Begun, From: -1}}}
				for _, b := range n.Borrow(nil, 0, due, &Due{Wants: []Note{{Key: int16(other), Kind: Begun, From: -1}}}, nil) {
					got = append(got, fmt.Sprint(b.Strings[0], b.Placement))
					if lead := Lead(n.Hands[b.Hands[0]].Hand); lead != b.Strings[0] {
						t.Errorf("string %d is sounded and %d plucked", b.Strings[0], lead)
					}
				}
				slices.Sort(want)
				slices.Sort(got)
				if met += len(want); !slices.Equal(got, want) {
					t.Errorf("%d beside %d within %+v: %v; want %v", key, other, region, got, want)
				}
			}
		}
	}
	if met < 60 {
		t.Errorf("only %d slants were met", met)
	}
}

// One note has as many slants of its neighbour as lie on it in tune; two of them on one
// string are two, and so are two strings under one.
func TestBorrowTheirs(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil
	n := NewNeck(r, LimitsOf(Seasoned), Region{})
	chord := &Due{Wants: []Note{{Key: 75, Kind: Begun, From: -1}, {Key: 66, Kind: Begun, From: -1}}}
	theirs := slices.DeleteFunc(slices.Clone(n.Grips(chord)), func(g Grip) bool { return !g.Slanted() })
	single := &Due{Wants: []Note{{Key: 75, Kind: Begun, From: -1}}}
	busy := &Due{Wants: []Note{{Key: 75, Kind: Begun, From: -1}, {Key: 66, Kind: Begun, From: -1}}}
	var want []string
	for _, g := range theirs {
		for s := 1; s <= 6; s++ {
			if at := n.Geometry.Contact(g.Placement, s); at > 0 && math.Abs(at-float64(75-r.OpenKey(s, 0))) <= 0.1 {
				want = append(want, fmt.Sprint(s, g.Placement))
			}
		}
	}
	slices.Sort(want)
	want = slices.Compact(want)
	var got []string
	for _, g := range n.Borrow(nil, 0, single, busy, theirs) {
		got = append(got, fmt.Sprint(g.Strings[0], g.Placement))
	}
	slices.Sort(got)
	if len(theirs) < 2 || len(want) < 2 || !slices.Equal(got, want) {
		t.Errorf("of %d slants %v are borrowed; want %v", len(theirs), got, want)
	}
}

// Strings 5, 4 and 2 of the C6 lap steel at 20, 21 and 24: under the straight line from
// end to end string 4 lies some 22 cents sharp, so the steel is laid 11 cents nearer the
// nut and each is 11 or 12 off, within the 12 that a page allows. Strings 5, 3 and 1 at
// 20, 22 and 24: half way in millimetres is
// −12·log₂((2^(−20/12) + 2^(−24/12))/2) = 21.877 frets, 12 cents flat; it goes 6 up.
// An end that has left the region asked for by that is outside.
func TestEased(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	const down, up = "5-4-2 at 19.9 21.1 23.9", "5-3-1 at 20.1 21.9 24.1"
	for _, c := range []struct {
		low, high float64
		down, up  bool
	}{
		{0, 0, true, true},
		{20, 0, false, true},
		{19.8, 0, true, true},
		{0, 24, true, false},
		{0, 24.1, true, true},
		{20, 24, false, false},
	} {
		got := find(t, r, "C", Options{Max: -1, Low: c.low, High: c.high})
		if has(r, got, down) != c.down || has(r, got, up) != c.up {
			t.Errorf("from %g to %g: %s %v, %s %v", c.low, c.high, down, has(r, got, down), up, has(r, got, up))
		}
		for _, w := range got {
			if writeWay(r, w) == up && (math.Abs(float64(w.CentsOff)+6.3) > 0.1 || w.Placement.FirstFret != 24.06) {
				t.Errorf("%s is at %+v, %.2f cents off", up, w.Placement, w.CentsOff)
			}
		}
	}
	// Four frets lie between the ends: that far a wide slant reaches and no farther.
	if got := find(t, r, "C", Options{Max: -1, Strings: 4}); !slices.ContainsFunc(got, func(w Way) bool {
		return writeWay(r, w) == "6-5-4-3 at 19 19.9 20.9 22" && w.Price.Third == 2*std.Third
	}) {
		t.Error("four frets under one slant are not found, or not priced as two too many")
	}
}

// What else sounds a wanted tone as the steel lies: strings beside an open grip, under a
// straight steel, open beside a slant unless the steel's end lies on them (on
// openD the end of 1:13 3:12 lies on string 4 and clears 5) or none are to sound; not
// string 2 half a fret off under that slant, at 12.4912 (package steel).
func TestMore(t *testing.T) {
	open := rigtest.OpenD()
	open.Benders = nil
	lap := rigtest.Builtin(t, "lap6-c6")
	for _, c := range []struct {
		r         *rig.Rig
		want, way string
		o         Options
		more      []int
	}{
		{open, "D", "4-3-2 at 0 0 0", Options{}, []int{1, 5, 6}},
		{open, "D", "4-3-2 at 12 12 12", Options{}, []int{1, 5, 6}},
		{lap, "C", "6-5-4 at 12 12 12", Options{}, []int{1, 2}},
		{lap, "C", "6-4 at 4 5", Options{}, []int{1, 2}},
		{lap, "C", "6-4 at 4 5", Options{Closed: true}, nil},
		{open, "D#5 F#4 A4 A2 D3", "3-1 at 12 13", Options{}, []int{5}},
	} {
		w, err := ParseWant(c.want)
		if err != nil {
			t.Fatal(err)
		}
		for i := 2; c.r == open && c.want != "D" && i < len(w.Tones); i++ {
			w.Tones[i].Spare = true
		}
		c.o.Max = -1
		ways := Find(c.r, w, c.o)
		i := slices.IndexFunc(ways, func(x Way) bool { return writeWay(c.r, x) == c.way })
		if i < 0 {
			t.Errorf("%s: %s is not found", c.want, c.way)
			continue
		}
		if !slices.Equal(ways[i].More, c.more) {
			t.Errorf("%s at %s: more strings %v, want %v", c.want, c.way, ways[i].More, c.more)
		}
	}
}

// A slant of four frets, 1:24 over 6:20: 150 mm before the bridge string 1, 189 mm string
// 6, 47 mm across, so that the steel leans 40 degrees. Five frets are not tried.
func TestWidestSlant(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil
	if got := find(t, r, "D6 A#3", Options{Max: -1}); !has(r, got, "6-1 at 20 24") {
		t.Errorf("four frets: %d ways", len(got))
	}
	for _, w := range find(t, r, "D6 A3", Options{Max: -1}) {
		if math.Abs(w.Placement.FirstFret-w.Placement.LastFret) > 4.5 {
			t.Errorf("%s spans five frets", writeWay(r, w))
		}
	}
}

// Key numbers end where pitch does: C-1 is 0. A string let down below it sounds nothing
// that could be wanted, and C0 is another note.
func TestLowestKeys(t *testing.T) {
	r := rigtest.OpenD()
	r.Strings[5].Open = pitch.Note(pitch.C, 0, -1)
	r.Benders = []rig.Bender{{Name: "knee", Mark: "A", Kind: rig.Knee, Moves: []rig.Move{{String: 6, Semitones: -1}}}}
	if got := find(t, r, "C-1", Options{Max: -1}); !has(r, got, "6 at 0") || !has(r, got, "6 at 1A") || has(r, got, "6 at 12") || len(got) != 2 {
		t.Errorf("C-1 is found %d times", len(got))
	}
}

// An instrument's habits: where open strings are used sparingly each costs, but not one
// that is only held, nor what is touched as a harmonic; a round edge eases slants and
// makes hammering dear, a sharp one catches in slides that the tune doesn't write.
func TestHabitPrices(t *testing.T) {
	for _, c := range []struct {
		what, stops string
		habits      rig.Habits
		want        int32
		change      func(*Grip, []Note)
	}{
		{"an open string where they are usual", "1:0", rig.Habits{Open: rig.OpenWelcome}, 0, nil},
		{"where they are avoided", "1:0", rig.Habits{Open: rig.OpenAvoided}, std.OpenAvoided, nil},
		{"two used sparingly", "1:0,2:0", rig.Habits{Open: rig.OpenSparing}, 2 * std.OpenSparing, nil},
		{"a stopped string", "1:5", rig.Habits{Open: rig.OpenAvoided}, 0, nil},
		{"an open string that goes on", "1:0", rig.Habits{Open: rig.OpenAvoided}, 0, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = On, Held }},
		{"a note that is left out", "1:0,2:0", rig.Habits{Open: rig.OpenAvoided}, std.OpenAvoided, func(g *Grip, w []Note) { g.Acts[1], g.Strings[1], w[1].Kind = Gone, 0, Offered }},
		{"a harmonic", "1:0", rig.Habits{Open: rig.OpenAvoided}, 0, func(g *Grip, _ []Note) { g.Node = 2 }},
		{"a hammer-on with a round edge", "1:5", rig.Habits{Edge: rig.RoundEdge}, std.HammerRound, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Hammer, Slurred }},
		{"a pull-off", "1:0", rig.Habits{Edge: rig.RoundEdge}, std.HammerRound, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Pull, Slurred }},
		{"a slide", "1:5", rig.Habits{Edge: rig.RoundEdge}, 0, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Glide, Slurred }},
		{"a slide with a sharp one", "1:5", rig.Habits{Edge: rig.SharpEdge}, std.SlideSharp, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Glide, Slurred }},
		{"a glide that is written", "1:5", rig.Habits{Edge: rig.SharpEdge}, 0, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Glide, Glided }},
		{"a hammer-on", "1:5", rig.Habits{Edge: rig.SharpEdge}, 0, func(g *Grip, w []Note) { g.Acts[0], w[0].Kind = Hammer, Slurred }},
		{"a plucked note", "1:5", rig.Habits{Edge: rig.SharpEdge}, 0, nil},
		{"a slant", "1:13,3:12", rig.Habits{Edge: rig.SharpEdge}, 0, nil},
		{"a slant with a round edge", "1:13,3:12", rig.Habits{Edge: rig.RoundEdge}, -std.SlantRound, nil},
	} {
		r := rigtest.OpenD()
		r.Habits = c.habits
		if r.Habits.Open == "" {
			r.Habits.Open = rig.OpenWelcome
		}
		if r.Habits.Edge == "" {
			r.Habits.Edge = rig.RoundEdge
		}
		usual, own := NewNeck(r, LimitsOf(Seasoned), Region{}), NewNeck(r, LimitsOf(Seasoned), Region{})
		own.TakeHabits()
		sum := func(n *Neck) int32 {
			g, wants := at(t, n, c.stops)
			if c.change != nil {
				c.change(g, wants)
			}
			a := n.Alone(g, wants)
			return a.sum()
		}
		if got := sum(own) - sum(usual); got != c.want {
			t.Errorf("%s costs %d by habit, want %d", c.what, got, c.want)
		}
	}
}

// Joined notes running count up one by one, and begin anew wherever nothing is joined.
func TestJoinsRunOn(t *testing.T) {
	for _, c := range []struct {
		before, now int8
		want        bool
	}{{0, 1, true}, {1, 2, true}, {0, 2, false}, {1, 1, false}, {2, 1, false}, {2, 0, true}, {0, 0, true}} {
		if got := (&Due{}).Leads(&Grip{Run: c.before}, &Grip{Run: c.now}); got != c.want {
			t.Errorf("the join numbered %d after %d: %v", c.now, c.before, got)
		}
	}
}

// What a grip rings on from is its first note that comes about on a sounding string, and
// a grip that sounds that note elsewhere doesn't lead to it.
func TestRingsFrom(t *testing.T) {
	m := &Due{Wants: []Note{{From: -1}, {From: 2}, {From: 0}}}
	for _, c := range []struct {
		acts      [MaxNotes]Act
		from, str int8
		ok        bool
	}{
		{[MaxNotes]Act{Pluck, Pluck, Pluck}, 0, 0, false},
		{[MaxNotes]Act{Pluck, Again, Gone}, 0, 0, false},
		{[MaxNotes]Act{On, Pluck, Pluck}, 0, 0, false}, // nothing for it to come from
		{[MaxNotes]Act{Pluck, On, Glide}, 2, 5, true},
		{[MaxNotes]Act{Pluck, Pluck, Glide}, 0, 6, true},
		{[MaxNotes]Act{Pluck, Hammer, On}, 2, 5, true},
		{[MaxNotes]Act{Pluck, Gone, Pull}, 0, 6, true},
	} {
		b := &Grip{Strings: [MaxNotes]int8{4, 5, 6}, Acts: c.acts}
		from, str, ok := m.RingsFrom(b)
		if from != c.from || str != c.str || ok != c.ok {
			t.Errorf("%v rings from want %d on string %d (%v), want %d on %d (%v)", c.acts, from, str, ok, c.from, c.str, c.ok)
		}
		if m.Leads(&Grip{Strings: [MaxNotes]int8{3, 3, 3}}, b) == c.ok {
			t.Errorf("%v is led to from other strings: %v", c.acts, c.ok)
		}
		if !m.Leads(&Grip{Strings: [MaxNotes]int8{6, 3, 5}}, b) {
			t.Errorf("%v is not led to from its own strings", c.acts)
		}
	}
}

// Contrary motion is that of two stopped top notes: the steel moves up and the
// melody down, or the other way round.
func TestContrary(t *testing.T) {
	n := seasoned(t)
	for _, c := range []struct {
		what, from, to string
		rest           bool
		want           bool
	}{
		{"up while it falls", "1:5", "2:7", false, true},
		{"from an open top string over a stopped one", "1:0,3:5", "3:7", false, false},
		{"to an open top string", "3:7", "1:0,3:5", false, false},
		{"the same note on a lower string", "1:5", "2:10", false, false},
		{"and back", "2:10", "1:5", false, false},
		{"after a rest", "1:5", "2:7", true, false},
	} {
		a, wa := at(t, n, c.from)
		b, wb := at(t, n, c.to)
		before := &Due{Wants: wa}
		if c.rest {
			before = &Due{}
		}
		got, ok := n.Step(a.Hand, a, b, before, &Due{Wants: wb, Pace: NewPace(0.5, n.Limits)})
		if !ok || (got.Contrary > 0) != c.want {
			t.Errorf("%s (%s to %s): %d, %v", c.what, c.from, c.to, got.Contrary, ok)
		}
	}
}

// Nothing rings into or out of a rest, nor where the top note is lost.
func TestNothingRings(t *testing.T) {
	n := seasoned(t)
	a, wa := at(t, n, "1:5")
	b, wb := at(t, n, "2:2")
	wb[0].Key = wa[0].Key - 3
	lost := *a
	lost.Strings[0], lost.Frets[0] = 0, 0
	for _, c := range []struct {
		what      string
		a, b      *Grip
		before, m []Note
		want      Ringing
	}{
		{"a third apart, and the steel moves away", a, b, wa, wb, RingsBroken},
		{"after a rest", a, b, nil, wb, RingsFree},
		{"before a rest", a, b, wa, nil, RingsFree},
		{"after a note that is lost", &lost, b, wa, wb, RingsFree},
		{"before a note that is lost", a, &lost, wa, wb, RingsFree},
	} {
		if got := n.Ring(c.a, c.b, &Due{Wants: c.before}, &Due{Wants: c.m}); got != c.want {
			t.Errorf("%s: %v, want %v", c.what, got, c.want)
		}
	}
}

// Where there is no time to hammer, only the one pluck of a grace and its note is
// hammered; no gesture is made on a harmonic's string but a glide that is written; a
// grace is slid into over three semitones in any time.
func TestGesturesInTime(t *testing.T) {
	n := seasoned(t)
	for _, c := range []struct {
		what, from, to string
		kind           Kind
		act            Act
		seconds        float64
		harmonic       bool
		want           bool
	}{
		{"a hammer-on in time", "1:0", "1:2", Slurred, Hammer, 0.09, false, true},
		{"too soon", "1:0", "1:2", Slurred, Hammer, 0.08, false, false},
		{"from a grace", "1:0", "1:2", Graced, Hammer, 0.04, false, true},
		{"a pull-off too soon", "1:2", "1:0", Slurred, Pull, 0.08, false, false},
		{"a pull-off from a grace", "1:2", "1:0", Graced, Pull, 0.04, false, true},
		{"a hammer-on onto a harmonic", "1:0", "1:2", Slurred, Hammer, 0.5, true, false},
		{"a pull-off from one", "1:2", "1:0", Slurred, Pull, 0.5, true, false},
		{"a slide from one", "1:5", "1:7", Slurred, Glide, 0.5, true, false},
		{"a glide that is written", "1:5", "1:7", Glided, Glide, 0.5, true, true},
		{"a grace three semitones off", "1:5", "1:8", Graced, Glide, 0.02, false, true},
		{"four", "1:5", "1:9", Graced, Glide, 0.02, false, false},
		{"a slur over three semitones in no time", "1:5", "1:9", Slurred, Glide, 0.04, false, false},
	} {
		a, wa := at(t, n, c.from)
		b, wb := at(t, n, c.to)
		if c.harmonic {
			a.Node = 2
		}
		wb[0].Kind, wb[0].From, b.Acts[0] = c.kind, 0, c.act
		if _, ok := n.Step(a.Hand, a, b, &Due{Wants: wa}, &Due{Wants: wb, Pace: NewPace(c.seconds, n.Limits)}); ok != c.want {
			t.Errorf("%s (%s to %s): possible %v", c.what, c.from, c.to, ok)
		}
	}
}

// Harmonics are sought on every string: A3 is the octave of A2 and the third partial of
// D2, on an instrument that has only those two and five frets.
func TestHarmonicOnTheLowestString(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders, r.Frets, r.Strings = nil, 5, r.Strings[4:]
	n := NewNeck(r, LimitsOf(Steady), Region{})
	var got []string
	for _, g := range n.Grips(&Due{Wants: []Note{{Key: 57, Kind: Begun, From: -1}}}) {
		got = append(got, written(n, &g, 1))
	}
	if s := strings.Join(got, "; "); s != "1:0 harmonic 2; 2:0 harmonic 3" {
		t.Errorf("A3: %s", s)
	}
}

// Under an interval the lower note lies below, whichever way it is asked for; twelve
// notes at once are read, thirteen are too many; the last fret can be named.
func TestWantBounds(t *testing.T) {
	for _, c := range []struct {
		iv   pitch.Interval
		want string
	}{{pitch.Interval{Steps: 2, Semitones: 4}, "C E"}, {pitch.Interval{Steps: -1, Semitones: -2}, "Bb C"}, {pitch.Interval{Semitones: 1}, "C C#"}} {
		w := WantInterval(pitch.Note(pitch.C, 0, 4).Class, c.iv)
		if got := w.Tones[0].Label + " " + w.Tones[1].Label; got != c.want || w.Bass != 0 {
			t.Errorf("%+v from C: %s over tone %d, want %s", c.iv, got, w.Bass, c.want)
		}
	}
	twelve := "C C# D Eb E F F# G Ab A Bb B"
	if w, err := ParseWant(twelve); err != nil || len(w.Tones) != 12 {
		t.Errorf("twelve tones: %v, %v", w.Tones, err)
	}
	if _, err := ParseWant(twelve + " C"); err == nil || !strings.Contains(err.Error(), "13 notes") {
		t.Errorf("thirteen: %v", err)
	}
	if stops, _, err := ParseStops(rigtest.OpenD(), "1:24"); err != nil || stops[0].Fret != 24 {
		t.Errorf("the last fret: %v, %v", stops, err)
	}
}

// Open strings beside a slant are as near as the nearest of them: on openD the end of
// 1:13 3:12 lies on string 4 and clears 5; an open string beyond string 2 is free.
func TestOpenBesideASlant(t *testing.T) {
	r := rigtest.OpenD()
	for text, want := range map[string]bool{
		"1:13,3:12": true, "1:13,3:12,5:0": true, "1:13,3:12,5:0,6:0": true, "1:13,3:12,4:0": false, "1:13,3:12,4:0,6:0": false,
		"1:0,2:13,4:12": true, "1:0,2:0,3:13,5:12": true,
	} {
		stops, set, err := ParseStops(r, text)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Name(r, stops, set); (err == nil) != want {
			t.Errorf("%s: %v", text, err)
		}
	}
}
