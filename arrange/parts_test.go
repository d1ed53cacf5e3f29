package arrange

import (
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// A pin says what it asks for and where, and nothing else.
func TestPinWords(t *testing.T) {
	zero, both, at := 0, rig.BenderSet(3), tune.Whole/8
	for _, c := range []struct {
		p    Pin
		want string
	}{
		{Pin{FromBarNumber: 3, String: 2}, "string 2 in bar 3"},
		{Pin{FromBarNumber: 3, ToBarNumber: 3, Fret: &zero}, "fret 0 in bar 3"},
		{Pin{FromBarNumber: 3, ToBarNumber: 4, Low: 2, High: 5}, "frets 2 to 5 in bars 3 to 4"},
		{Pin{FromBarNumber: 3, Low: 2}, "fret 2 and above in bar 3"},
		{Pin{FromBarNumber: 3, High: 5}, "fret 5 and below in bar 3"},
		{Pin{FromBarNumber: 3, Closed: true, Square: true}, "no open strings, a square bar in bar 3"},
		{Pin{FromBarNumber: 3, Benders: &both, At: &at}, "bender set 11 in bar 3, 1/8 into it"},
		{Pin{FromBarNumber: 3, Grip: []Stop{{1, 5}, {3, 4}}}, "string 1 at fret 5, string 3 at fret 4 in bar 3"},
	} {
		if got := c.p.Words(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// What a grip is called where something can't be had: each string with its fret, how the
// note comes, and how the steel lies where that is to be said.
func TestGripWords(t *testing.T) {
	r := rigtest.OpenD()
	n := &neck{Neck: grip.NewNeck(r, grip.LimitsOf(grip.Seasoned), grip.Region{})}
	made := func(key int16, kind grip.Kind) []grip.Grip {
		return n.Grips(&grip.Due{Wants: []grip.Note{{Key: key, Kind: kind, From: 0}}})
	}
	one := &moment{Due: grip.Due{Wants: make([]grip.Note, 1)}}
	for _, c := range []struct {
		key  int16
		kind grip.Kind
		want string
	}{
		{62, grip.Begun, "string 1 open; string 2 at fret 5; string 2 at fret 3, with palm 2; string 3 at fret 8"},
		{62, grip.Tied, "string 1 open, plucked again; string 2 at fret 5, plucked again; nothing played"},
		{62, grip.Slurred, "string 1 open, pulled off; string 2 at fret 5, hammered on; string 2 at fret 5, reached by a glide"},
	} {
		var got []string
		for _, g := range made(c.key, c.kind) {
			got = append(got, n.words(&g, one))
		}
		for want := range strings.SplitSeq(c.want, "; ") {
			if !contains(got, want) {
				t.Errorf("%q is not among %q", want, got)
			}
		}
	}
	r.Frets, r.Benders = 5, nil
	n = &neck{Neck: grip.NewNeck(r, grip.LimitsOf(grip.Steady), grip.Region{})}
	var got []string
	for _, g := range made(76, grip.Begun) { // E5: package grip's tests say that string 2 has it as third partial
		got = append(got, n.words(&g, one))
	}
	for _, want := range []string{"string 2, harmonic at fret 7", "string 1 at fret 2, palm harmonic"} {
		if !contains(got, want) {
			t.Errorf("%q is not among %q", want, got)
		}
	}
	for f, want := range map[float64]string{5: "5", 12.4912: "12.49", 0: "0"} {
		if got := fretText(f); got != want {
			t.Errorf("fret %g is written %q, want %q", f, got, want)
		}
	}
}

func contains(all []string, one string) bool {
	for _, s := range all {
		if s == one {
			return true
		}
	}
	return false
}

// A piece begins with what is plucked: nothing goes on, is glided to, hammered on or pulled
// off from nowhere.
func TestStartable(t *testing.T) {
	for act, want := range map[grip.Act]bool{grip.Gone: true, grip.Pluck: true, grip.Again: true, grip.On: false, grip.Glide: false, grip.Hammer: false, grip.Pull: false} {
		g := grip.Grip{}
		g.Acts[1] = act
		if got := startable(&g); got != want {
			t.Errorf("a first grip with act %d: %v", act, got)
		}
	}
}

// What follows a plan plays each note on its string, at its fret and in its manner: but
// for notes that are held, and for what is added, which may be free.
func TestFollows(t *testing.T) {
	plan := []Played{{String: 2, Fret: 5, Attack: tab.Picked}, {String: 4, Fret: 5, Attack: tab.Picked}}
	for _, c := range []struct {
		what   string
		change func(g *grip.Grip, m *moment)
		free   bool
		want   bool
	}{
		{"as planned", func(*grip.Grip, *moment) {}, false, true},
		{"on another string", func(g *grip.Grip, _ *moment) { g.Strings[0] = 3 }, false, false},
		{"at another fret", func(g *grip.Grip, _ *moment) { g.Frets[0] = 7 }, false, false},
		{"in another manner", func(g *grip.Grip, _ *moment) { g.Acts[0] = grip.Hammer }, false, false},
		{"as a harmonic, which has no fret", func(g *grip.Grip, _ *moment) { g.Node, g.Frets[0], g.Frets[1] = 2, 0, 0 }, false, true},
		{"held otherwise", func(g *grip.Grip, m *moment) { m.Wants[1].Kind, g.Strings[1] = grip.Held, 6 }, false, true},
		{"with other harmony", func(g *grip.Grip, m *moment) { m.Wants[1].Kind, g.Strings[1] = grip.Offered, 6 }, false, false},
		{"with other harmony, which is free", func(g *grip.Grip, m *moment) { m.Wants[1].Kind, g.Strings[1] = grip.Offered, 6 }, true, true},
		{"a tied note plucked again", func(_ *grip.Grip, m *moment) { m.Wants[0].Kind = grip.Tied }, false, false},
	} {
		g, m := &grip.Grip{}, &moment{Due: grip.Due{Wants: make([]grip.Note, 2)}}
		g.Strings[0], g.Strings[1], g.Frets[0], g.Frets[1], g.Acts[0], g.Acts[1] = 2, 4, 5, 5, grip.Pluck, grip.Pluck
		c.change(g, m)
		if got := follows(g, m, plan, c.free); got != c.want {
			t.Errorf("%s: follows %v", c.what, got)
		}
	}
	// What was left out is left out, whatever its manner and fret were.
	g, m := &grip.Grip{}, &moment{Due: grip.Due{Wants: make([]grip.Note, 1)}}
	if !follows(g, m, []Played{{Fret: 3, Attack: tab.Hammered}}, false) {
		t.Error("a note left out does not follow one left out")
	}
}

// Leaving a plan costs what is other, each by itself; what is left out or held costs
// nothing.
func TestPrefer(t *testing.T) {
	w := standardPrices(t)
	lean := &grip.Place{Placement: steel.Placement{Kind: steel.Forward}}
	flat := &grip.Place{}
	for _, c := range []struct {
		what   string
		change func(g *grip.Grip, m *moment)
		want   int32
	}{
		{"as it was", func(*grip.Grip, *moment) {}, 0},
		{"on another string", func(g *grip.Grip, _ *moment) { g.Strings[0] = 3 }, w.OtherString},
		{"open", func(g *grip.Grip, _ *moment) { g.Frets[0] = 0 }, w.OtherOpen},
		{"at another fret", func(g *grip.Grip, _ *moment) { g.Frets[0] = 7 }, 0},
		{"glided to", func(g *grip.Grip, _ *moment) { g.Acts[0] = grip.Glide }, w.OtherAttack},
		{"leaned", func(g *grip.Grip, _ *moment) { g.Place = lean }, w.OtherLean},
		{"the lower note on another string", func(g *grip.Grip, _ *moment) { g.Strings[1] = 6 }, w.OtherString},
		{"left out", func(g *grip.Grip, _ *moment) { g.Strings[0], g.Frets[0], g.Acts[0] = 0, 0, grip.Gone }, 0},
		{"held", func(g *grip.Grip, m *moment) { g.Strings[1], m.Wants[1].Kind = 6, grip.Held }, 0},
		{"all at once", func(g *grip.Grip, _ *moment) { g.Strings[0], g.Frets[0], g.Acts[0], g.Place = 3, 0, grip.Glide, lean }, w.OtherString + w.OtherOpen + w.OtherAttack + w.OtherLean},
	} {
		g, m := grip.Grip{Place: flat, Cost: 100}, &moment{Due: grip.Due{Wants: make([]grip.Note, 2)}}
		g.Strings[0], g.Strings[1], g.Frets[0], g.Frets[1], g.Acts[0], g.Acts[1] = 2, 4, 5, 5, grip.Pluck, grip.Pluck
		c.change(&g, m)
		before := []grip.Grip{g}
		l := &layer{grips: before}
		l.prefer(m, []Played{{String: 2, Fret: 5, Attack: tab.Picked}, {String: 4, Fret: 5, Attack: tab.Picked}}, w)
		if got := l.grips[0]; got.Habit != c.want || got.Cost != 100+c.want || before[0].Habit != 0 {
			t.Errorf("%s costs %d of %d, want %d", c.what, got.Habit, got.Cost, c.want)
		}
	}
}

func standardPrices(t *testing.T) *prices {
	t.Helper()
	o := Options{}
	return o.prices()
}

// Of phrases with the same notes the way that comes most often is the model, of ways
// that come as often the cheapest, of those the first.
func TestModelPhrase(t *testing.T) {
	a, b := &grip.Grip{}, &grip.Grip{}
	a.Strings[0], b.Strings[0] = 1, 2
	thumb, index := grip.Hand{Thumb: 1, ThumbEnd: 1}, grip.Hand{Index: 1}
	for _, c := range []struct {
		what  string
		way   []chosen
		costs []float64
		start int
		alike bool
	}{
		{"all alike", []chosen{{grip: a, hand: thumb}, {grip: a, hand: thumb}}, []float64{3, 3}, 0, true},
		{"all alike, the second cheaper by where it comes from", []chosen{{grip: a, hand: thumb}, {grip: a, hand: thumb}}, []float64{3, 2}, 1, true},
		{"two of three, though dearer", []chosen{{grip: b, hand: thumb}, {grip: a, hand: thumb}, {grip: a, hand: thumb}}, []float64{1, 5, 5}, 1, false},
		{"two of three, by strings, with other fingers", []chosen{{grip: b, hand: thumb}, {grip: a, hand: thumb}, {grip: a, hand: index}}, []float64{1, 5, 4}, 2, false},
		{"two of three by fingers", []chosen{{grip: a, hand: index}, {grip: a, hand: thumb}, {grip: a, hand: thumb}}, []float64{1, 5, 5}, 1, false},
		{"one of each", []chosen{{grip: a, hand: thumb}, {grip: b, hand: thumb}}, []float64{4, 4}, 0, false},
	} {
		g := &group{n: 1}
		var model []int
		for i := range c.way {
			g.starts, model = append(g.starts, i), append(model, i)
		}
		if start, alike := g.best(&Work{}, c.way, model, c.costs); start != c.start || alike != c.alike {
			t.Errorf("%s: %d, %v; want %d, %v", c.what, start, alike, c.start, c.alike)
		}
	}
}

// A melody's notes are counted once: what a tie goes on with is no new one, and graces
// are none.
func TestHarmonyCounts(t *testing.T) {
	tn := tunetest.Score(t, "C", "G4:2 E4:2 C4:2 E4:2")
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	tn.Bars[0].Chords = []tune.ChordAt{{Text: "C", Chord: &c}}
	h := must(t, tn, "lap6-c6", Options{Harmony: Thirds}).Harmony
	if h == nil || h.Notes != 4 || h.Under+h.Single != 4 || h.Under == 0 || !h.Symbols || h.FromKey != 0 {
		t.Errorf("four notes: %+v", h)
	}
	last := &tn.Bars[0].Lines[0][1].Notes[0]
	tn.Bars[0].Lines[0][2].Notes[0].Name = last.Name
	last.Tie = true
	if h := must(t, tn, "lap6-c6", Options{Harmony: Thirds}).Harmony; h.Notes != 3 {
		t.Errorf("of four notes two are tied: %+v", h)
	}
	tn.Bars[0].Chords = nil
	if h := must(t, tn, "lap6-c6", Options{Harmony: Thirds}).Harmony; h.Symbols || h.FromKey != h.Under {
		t.Errorf("without symbols: %+v", h)
	}
}

// The frets that are asked for hold in every manner of playing.
func TestAlternativesStayWithin(t *testing.T) {
	for _, o := range []Options{{High: 5}, {Low: 3}, {Low: 3, High: 9}} {
		all, err := Alternatives(t.Context(), melodyOf(t, 4), rigtest.Builtin(t, "lap8-c13"), o, 5)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range all {
			if low, high := a.Result.Tab.Frets(); low != 0 && low < float64(o.Low) || o.High > 0 && high > float64(o.High) {
				t.Errorf("%s between %d and %d: frets %g to %g", a.Name, o.Low, o.High, low, high)
			}
		}
	}
	if _, err := Alternatives(t.Context(), melodyOf(t, 1), rigtest.Builtin(t, "lap8-c13"), Options{}, 0); err == nil {
		t.Error("no arrangements were asked for and some given")
	}
	// A position at the nut has its open strings, one above them has none.
	for low, want := range map[int]bool{1: false, 3: false, 4: true} {
		if got := (Options{}).within(low, low+4); got.Closed != want || got.Low != low || got.High != low+4 {
			t.Errorf("from fret %d: %+v", low, got)
		}
	}
	if !(Options{Closed: true}).within(1, 5).Closed {
		t.Error("open strings come back at the nut")
	}
}

// A scoop is made with the steel on the string, between the nut and the last fret, into what
// is plucked: not into an open string, a harmonic, or what goes on.
func TestScoops(t *testing.T) {
	r := rigtest.OpenD()
	f := &finished{scene: scene{n: &neck{Neck: grip.NewNeck(r, grip.LimitsOf(grip.Seasoned), grip.Region{})}}}
	for _, c := range []struct {
		fret, scoop int8
		act         grip.Act
		node        int8
		want        bool
	}{
		{5, -2, grip.Pluck, 0, true}, {5, -4, grip.Pluck, 0, true}, {5, -5, grip.Pluck, 0, false}, {0, 2, grip.Pluck, 0, false}, {0, -1, grip.Pluck, 0, false},
		{22, 2, grip.Pluck, 0, true}, {22, 3, grip.Pluck, 0, false}, {5, -2, grip.On, 0, false}, {5, -2, grip.Hammer, 0, false}, {5, -2, grip.Pluck, 2, false},
	} {
		g := &grip.Grip{Node: c.node}
		g.Strings[0], g.Frets[0], g.Acts[0] = 1, c.fret, c.act
		if got := f.scoops(g, 0, &tune.Note{Scoop: c.scoop}); got != c.want {
			t.Errorf("a scoop of %d into fret %d, act %d, node %d: %v", c.scoop, c.fret, c.act, c.node, got)
		}
	}
}

// Why a note is lost: beyond the strings, D2 to D6 at fret 24 on openD, alone or beside others.
func TestWhyLost(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil
	n := &neck{Neck: grip.NewNeck(r, grip.LimitsOf(grip.Steady), grip.Region{})}
	one, two := &moment{Due: grip.Due{Wants: make([]grip.Note, 1)}}, &moment{Due: grip.Due{Wants: make([]grip.Note, 2)}}
	for _, c := range []struct {
		key  int16
		m    *moment
		want string
	}{
		{37, one, "below the lowest string"}, {38, one, "no string has it"}, {86, one, "no string has it"}, {87, one, "above fret 24 of the highest string"}, {60, two, "no placement of the bar"},
	} {
		if got := n.whyLost(c.m, &grip.Note{Key: c.key}); !strings.HasPrefix(got, c.want) {
			t.Errorf("key %d: %q, want %q", c.key, got, c.want)
		}
	}
}

// Harmony stands under notes that begin on a beat, however short; what is short and between the
// beats stays single.
func TestWhereHarmonyStands(t *testing.T) {
	tn := tunetest.Score(t, "C", "G4 E4 G4 E4 G4 E4 G4 E4")
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	tn.Bars[0].Chords = []tune.ChordAt{{Text: "C", Chord: &c}}
	res := must(t, tn, "lap6-c6", Options{Harmony: Thirds})
	var got []string
	for _, a := range res.Tab.Added {
		if a.Kind == tab.AddHarmony {
			got = append(got, a.At.String())
		}
	}
	if s := strings.Join(got, " "); s != "0 1/4 1/2 3/4" {
		t.Errorf("harmony at %s, want it on the four beats", s)
	}
}

// Vibrato is marked on long stopped notes, never on open strings.
func TestOpenStringsHaveNoVibrato(t *testing.T) {
	res := must(t, tunetest.Score(t, "G", "G3:8 A3:8"), "reso-open-g", Options{Vibrato: true, Octave: Octaves(0)})
	for _, s := range res.Tab.Strokes {
		for _, p := range s.Plucks {
			if p.Vibrato != (p.Fret > 0) {
				t.Errorf("string %d at fret %g: vibrato %v", p.String, p.Fret, p.Vibrato)
			}
		}
	}
}
