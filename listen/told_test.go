package listen

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// slants are slants of a lean that is wanted, played so many degrees.
func slants(wanted float64, degrees ...float64) func(*adviser) {
	return func(a *adviser) {
		for i, d := range degrees {
			a.out.Slants = append(a.out.Slants, Slant{BarNumber: i + 1, Wanted: wanted, Degrees: d, Sure: true})
		}
	}
}

// stringOff is string 1 so many cents off, give or take some.
func stringOff(cents, doubt float64) func(*adviser) {
	return func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: cents, Doubt: doubt, Told: true}} }
}

// againstClick has all notes before it so many seconds late against a click.
func againstClick(seconds float64) func(*adviser) {
	return func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(len(a.out.Notes), func(n *Note) { n.Late = seconds })(a)
	}
}

// Each bound of advice.go met exactly, where it is told or not yet, and just passed.
func TestAdviceAtTheBounds(t *testing.T) {
	for _, c := range []struct {
		what   string
		find   func(*adviser) []Advice
		change func(*adviser)
		say    string // "" for nothing
	}{
		{"a string 5 cents sharp", (*adviser).adviseStrings, stringOff(5, 2.5), "5 cents sharp"},
		{"less", (*adviser).adviseStrings, stringOff(4.875, 2.5), ""},
		{"7 cents flat, give or take 3.5", (*adviser).adviseStrings, stringOff(-7, 3.5), "7 cents flat"},
		{"give or take 4", (*adviser).adviseStrings, stringOff(-7, 4), ""},

		{"slants of one degree", (*adviser).adviseSlants, slants(1, 4, 4), "lean too much, by about 3 degrees"},
		{"of less", (*adviser).adviseSlants, slants(0.9375, 4, 4), ""},
		{"slants 1.5 degrees too far", (*adviser).adviseSlants, slants(20, 21.5, 21.5), "lean too much, by about 2 degrees"},
		{"1.5 degrees too little", (*adviser).adviseSlants, slants(20, 18.5, 18.5), "do not lean enough, by about 2 degrees"},
		{"less too far", (*adviser).adviseSlants, slants(20, 21.25, 21.25), ""},
		{"reverse slants too far", (*adviser).adviseSlants, slants(-20, -23, -23), "lean too much, by about 3 degrees"},

		{"the steel 0.9 mm beyond", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = handWords, 0.4 }, "about 0.9 mm beyond the fret line, towards the bridge"},
		{"where half of it is doubt", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = 2, 1 }, ""},
		{"all flat, half of the hand's place being doubt", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, -12)(a)
			a.out.HandMM, a.out.HandOff = 2, 1
		}, "about 10 cents flat"},
		{"all 5 cents sharp", (*adviser).adviseUntold, onlyNotes(5, 5), "about 5 cents sharp"},
		{"less", (*adviser).adviseUntold, onlyNotes(5, 4.875), ""},
		{"four in five 2.5 cents sharp at least", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, 8)(a)
			a.out.Notes[0].Cents, a.out.Notes[4].Cents = 2.5, -40
		}, "about 10 cents sharp"},
		{"one of them less", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, 8)(a)
			a.out.Notes[0].Cents, a.out.Notes[4].Cents = 2.375, -40
		}, ""},
		{"four in five 2.5 cents flat at least", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, -8)(a)
			a.out.Notes[0].Cents, a.out.Notes[4].Cents = -2.5, 40
		}, "about 10 cents flat"},
		{"two of five the other way", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, -8)(a)
			a.out.Notes[0].Cents, a.out.Notes[4].Cents = 30, 40
		}, ""},
		{"notes that are not sure, or right", (*adviser).adviseUntold, func(a *adviser) {
			onlyNotes(5, -12)(a)
			a.out.Notes[0].Sure, a.out.Notes[1].Right = false, true
		}, ""},

		{"six notes 0.9 mm towards the bridge", (*adviser).adviseRegion, eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 3, handWords }), "0.9 mm too far towards the bridge"},
		{"six notes of fret 5", (*adviser).adviseRegion, func(a *adviser) {
			eachNote(12, func(n *Note) { n.SteelMM = math.NaN() })(a)
			eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 5, -1 })(a)
		}, "Between frets 5 and 12 the steel lies about 1.0 mm too far towards the nut"},

		{"45 ms late", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = lateWords }), ""},
		{"46 ms", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = 0.046 }), "by about 46 ms"},
		{"late and right", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late, n.Right = 0.06, true }), ""},
		{"who knows how late", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = math.NaN() }), ""},
		{"30 ms ahead of the click", (*adviser).adviseAhead, againstClick(-aheadWords), "about 30 ms ahead"},
		{"29 ms", (*adviser).adviseAhead, againstClick(-0.029), ""},
		{"ahead and right", (*adviser).adviseAhead, func(a *adviser) {
			againstClick(-0.04)(a)
			eachNote(5, func(n *Note) { n.Right = true })(a)
		}, ""},

		{"slid into by 25.5 cents, settled after 0.09 s", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles = 25.5, 0.09375 }), "4 notes slide"},
		{"not sure", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles, n.Sure = 30, 0.2, false }), ""},
		{"right", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles, n.Right = 30, 0.2, true }), ""},
		{"wandering by more than 10 cents", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread = 10.125 }), "The pitch wanders in bars 1, 2, 3 and 4"},
	} {
		got := c.find(asked(12, c.change))
		switch {
		case c.say == "" && len(got) > 0:
			t.Errorf("%s: %q", c.what, got[0].Text)
		case c.say != "" && (len(got) != 1 || !strings.Contains(got[0].Text, c.say)):
			t.Errorf("%s: %+v; want %q", c.what, got, c.say)
		case c.say != "" && !(got[0].worth > 0):
			t.Errorf("%s is worth %g", c.what, got[0].worth)
		}
	}
	// What can be practised has its exercise.
	got := asked(8, func(a *adviser) {
		a.s.tab = listentest.Line(rigtest.Builtin(t, "reso-open-g"), 1, 24, 5)
		stringOff(8, 0)(a)
	}).advise()
	if len(got) != 1 || got[0].Drill == nil || got[0].Drill.Tab == nil {
		t.Errorf("a string 8 cents off: %+v", got)
	}
	// Slants in bars that are off by no more than 1.5 degrees are not among those to practise.
	got = asked(12, slants(20, 24, 21.5, 18, 24)).adviseSlants()
	if len(got) != 1 || !slices.Equal(got[0].Bars, []int{1, 3, 4}) || len(got[0].spot.Strokes) != 3 {
		t.Errorf("slants 4, 1.5, −2 and 4 degrees off: %+v", got)
	}
}

// barsLasting is a take of bars of two seconds and one in turn, one note a bar, each lasting so many times as long in the take.
func barsLasting(times ...float64) *adviser {
	return asked(len(times), func(a *adviser) {
		tn := &tune.Tune{}
		due, at := 0.0, 0.0
		for i := range len(times) + 1 {
			tn.Bars = append(tn.Bars, tune.Bar{Number: i + 1})
			a.s.groups = append(a.s.groups, group{due: due, barIndex: i, passIndex: i, wants: []int{i}})
			a.s.wants = append(a.s.wants, want{stroke: &tab.Stroke{BarIndex: i}})
			a.time.anchors = append(a.time.anchors, anchor{group: i, due: due, at: at})
			if i < len(times) {
				long := float64(2 - i%2)
				due, at = due+long, at+long*times[i]
			}
		}
		a.s.tab = &tab.Tab{Tune: tn}
	})
}

// Bars that go faster or slower than those around by more than 9 %, of four bars at the least: told as hurried or as
// getting longer, and how lateness there is not counted in them and beside them, where it is against the player's own tempo.
func TestHurriedAndDraggedBars(t *testing.T) {
	adrift := func(a *adviser) []int {
		var out []int
		for _, n := range a.out.Notes {
			if n.Adrift {
				out = append(out, n.BarNumber)
			}
		}
		return out
	}
	for _, c := range []struct {
		what    string
		seconds []float64
		say     []string
		adrift  []int
	}{
		{"even", []float64{1, 1, 1, 1, 1, 1}, nil, nil},
		{"one of three a quarter shorter", []float64{1, 0.75, 1}, nil, nil},
		{"of four", []float64{1, 0.75, 1, 1}, []string{"Bar 2 is hurried, by up to 25 %"}, []int{1, 2, 3}},
		{"8 % shorter", []float64{1, 1, 0.92, 1, 1, 1}, nil, nil},
		{"9 % longer", []float64{1, 1, 1.09, 1, 1, 1}, nil, nil},
		{"an eighth longer", []float64{1, 1, 1, 1.125, 1, 1}, []string{"The time gets longer in bar 4:"}, []int{3, 4, 5}},
		{"the first a half longer", []float64{1.5, 1, 1, 1, 1, 1}, []string{"The time gets longer in bar 1:"}, []int{1, 2}},
		{"the last hurried", []float64{1, 1, 1, 1, 1, 0.5}, []string{"Bar 6 is hurried, by up to 50 %"}, []int{5, 6}},
		{"both", []float64{1, 0.75, 1, 1, 1, 1, 1, 1.25, 1, 0.5}, []string{"Bars 2 and 10 are hurried, by up to 50 %", "The time gets longer in bar 8:"}, []int{1, 2, 3, 7, 8, 9, 10}},
		{"slower from half on", []float64{1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2}, []string{"Bar 6 is hurried, by up to 33 %", "The time gets longer in bar 7:"}, []int{5, 6, 7, 8}},
	} {
		a := barsLasting(c.seconds...)
		got := a.adviseTempo()
		if len(got) != len(c.say) {
			t.Errorf("%s: %+v", c.what, got)
			continue
		}
		for i, say := range c.say {
			if !strings.Contains(got[i].Text, say) || !(got[i].worth > 0) || len(got[i].spot.Strokes) != len(got[i].Bars) {
				t.Errorf("%s: %+v, want %q", c.what, got[i], say)
			}
		}
		if !slices.Equal(adrift(a), c.adrift) {
			t.Errorf("%s: lateness is not counted in %v, want %v", c.what, adrift(a), c.adrift)
		}
		for _, p := range a.out.Paces {
			if want := c.seconds[p.PassIndex]; math.Abs(p.Taken-want) > 1e-9 && c.seconds[len(c.seconds)-1] != 2 {
				t.Errorf("%s: bar %d takes %g of its time, want %g", c.what, p.PassIndex+1, p.Taken, want)
			}
		}
		a = barsLasting(c.seconds...)
		a.out.Against = AgainstClick
		a.adviseTempo()
		if got := adrift(a); got != nil {
			t.Errorf("%s: against a click lateness is not counted in %v", c.what, got)
		}
	}
	// A pause between two bars is not their tempo.
	a := barsLasting(1, 1, 5, 1, 1, 1)
	for i := range a.time.anchors {
		if i > 2 {
			a.time.anchors[i].stretch = 1
		}
	}
	if got := a.adviseTempo(); got != nil {
		t.Errorf("a pause after bar 3: %+v", got)
	}
	// The worth grows with how far it is off and how many bars are.
	one, two, far := barsLasting(1, 0.75, 1, 1, 1, 1, 1, 1).adviseTempo(), barsLasting(1, 0.75, 1, 1, 1, 0.75, 1, 1).adviseTempo(), barsLasting(1, 0.5, 1, 1, 1, 1, 1, 1).adviseTempo()
	if w := 3 * math.Log(1/0.75) / hurryWords * math.Sqrt(1.0/8); math.Abs(one[0].worth-w) > 1e-9 || math.Abs(two[0].worth/one[0].worth-math.Sqrt2) > 1e-9 || !(far[0].worth > two[0].worth) {
		t.Errorf("a bar in eight hurried is worth %g, two %g, one by half %g", one[0].worth, two[0].worth, far[0].worth)
	}
}

// What a fault is worth: about how many times over it can be heard, five cents being heard once, times the root of the
// share of the notes that it touches; what is missed or another note is worth most. By these advice is put in order.
func TestWorthOfAdvice(t *testing.T) {
	for _, c := range []struct {
		what   string
		find   func(*adviser) []Advice
		change func(*adviser) // of 16 notes, a quarter of which has a root of a half
		want   float64
	}{
		{"a string 10 cents off, of which all is", (*adviser).adviseStrings, stringOff(10, 0), 4},
		{"of which a quarter is", (*adviser).adviseStrings, func(a *adviser) {
			stringOff(10, 0)(a)
			eachNote(8, func(n *Note) { n.String = 2 })(a)
			for i := 8; i < 12; i++ {
				a.out.Notes[i].Cents = math.NaN()
			}
		}, 2},
		{"slants of two strings in a quarter, 3 degrees off", (*adviser).adviseSlants, slants(20, 23, 23), 2.25},
		{"the steel 2 mm off throughout", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = 2, 0.25 }, 3},
		{"a quarter 10 cents off, the others not measured", (*adviser).adviseUntold, func(a *adviser) {
			eachNote(16, func(n *Note) { n.Sure = false })(a)
			eachNote(4, func(n *Note) { n.Sure, n.Cents = true, 10 })(a)
		}, 2},
		{"a region 5 mm off, in nine of sixteen", (*adviser).adviseRegion, func(a *adviser) {
			eachNote(16, func(n *Note) { n.SteelMM = math.NaN() })(a)
			eachNote(9, func(n *Note) { n.SteelMM = -5 })(a)
		}, 3},
		{"a quarter missed", (*adviser).adviseMissed, eachNote(4, func(n *Note) { n.Status = Missed }), 2},
		{"a quarter wrong", (*adviser).adviseMissed, eachNote(4, func(n *Note) { n.Status = Wrong }), 2.25},
		{"as many too many as a quarter", (*adviser).adviseExtra, func(a *adviser) { a.out.Extra = make([]Extra, 4) }, 1.5},
		{"a quarter 90 ms late", (*adviser).adviseLate, eachNote(4, func(n *Note) { n.Late = 2 * lateWords }), 1.2},
		{"60 ms ahead of the click", (*adviser).adviseAhead, againstClick(-2 * aheadWords), 2.4},
		{"a quarter slid into", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles = 30, 0.2 }), 0.75},
		{"a quarter wandering", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread = 11 }), 0.5},
	} {
		got := c.find(asked(16, c.change))
		if len(got) != 1 || math.Abs(got[0].worth-c.want) > 1e-9 {
			t.Errorf("%s: %+v, want it worth %g", c.what, got, c.want)
		}
	}
	// Of bars as many as are off, and of hurried ones how far.
	if got := barsLasting(1, 1, 1, 1.5).adviseTempo(); len(got) != 1 || math.Abs(got[0].worth-1) > 1e-9 {
		t.Errorf("a bar of four dragged: %+v, want it worth 1", got)
	}
	// The hand is practised at stopped notes under a straight steel.
	got := asked(6, func(a *adviser) {
		a.out.HandMM, a.out.HandOff = 2, 0.25
		a.out.Notes[1].Fret, a.out.Notes[2].Slanted, a.out.Notes[3].Fret = 0, true, 0.5
	}).adviseHand()
	if len(got) != 1 || len(got[0].spot.Strokes) != 4 {
		t.Errorf("of six notes one open and one under a slant: %+v", got)
	}
	// What is not sure, right or of another region says nothing of a region.
	for i, spoil := range []func(*Note){func(n *Note) { n.Sure = false }, func(n *Note) { n.Right = true }, func(n *Note) { n.Fret = 20 }, func(n *Note) { n.SteelMM = math.NaN() }} {
		a := asked(6, eachNote(6, func(n *Note) { n.SteelMM = 2 }))
		spoil(&a.out.Notes[0])
		if got := a.adviseRegion(); len(got) != 0 {
			t.Errorf("five notes and one of kind %d: %+v", i, got)
		}
	}
}

// What was played last before a moment of the take, that moment in it.
func TestPlayedBefore(t *testing.T) {
	a := barsLasting(1, 1, 1)
	for at, index := range map[float64]int{-1: -1, 0: 0, 1: 0, 2: 1, 2.5: 1, 3: 2, 9: 3} {
		st := a.playedBefore(at)
		if got := slices.IndexFunc(a.s.wants, func(w want) bool { return w.stroke == st }); got != index {
			t.Errorf("before second %g: stroke %d, want %d", at, got, index)
		}
	}
	// Notes that the tab doesn't have are told by the bars after whose notes they came, each once.
	a.out.Extra = []Extra{{Onset: 2}, {Onset: 1}, {Onset: -1}, {Onset: 2.5}}
	if got := a.adviseExtra(); len(got) != 1 || !slices.Equal(got[0].Bars, []int{1, 2}) || len(got[0].spot.Strokes) != 3 {
		t.Errorf("four extra notes: %+v", got)
	}
}

// frames are so many frames of a pitch, 5 ms each; 0 for silence.
func frames(n int, hz float64) []Frame {
	out := make([]Frame, n)
	for i := range out {
		out[i] = Frame{Voiced: hz > 0, Hz: pitch.Hz(hz), Sure: 0.5}
	}
	return out
}

// A pluck's pitch is looked at 40 ms after it; of 60 ms, 12 frames, on it is a note. It ends where it is silent for 25 ms
// and where it stays elsewhere.
func TestLineIsCutIntoNotes(t *testing.T) {
	const a4, b4, gs4 = 440.0, 493.88, 415.30
	for _, c := range []struct {
		what   string
		frames []Frame
		want   []LineNote
	}{
		{"12 frames", frames(21, a4), []LineNote{{At: 0, Until: 0.105, Hz: a4, Sure: 0.5, Plucked: true}}},
		{"11", frames(20, a4), nil},
		{"nothing", frames(40, 0), nil},
		{"a gap of four frames", slices.Concat(frames(30, a4), frames(4, 0), frames(30, a4)), []LineNote{{At: 0, Until: 0.32, Hz: a4, Sure: 0.5, Plucked: true}}},
		{"of five", slices.Concat(frames(30, a4), frames(5, 0), frames(30, a4)), []LineNote{{At: 0, Until: 0.15, Hz: a4, Sure: 0.5, Plucked: true}, {At: 0.155, Until: 0.325, Hz: a4, Sure: 0.5}}},
		{"a glide up a tone", slices.Concat(frames(40, a4), frames(40, b4)), []LineNote{{At: 0, Until: 0.2, Hz: a4, Sure: 0.5, Plucked: true}, {At: 0.2, Until: 0.4, Hz: b4, Sure: 0.5}}},
		{"down a semitone", slices.Concat(frames(40, a4), frames(40, gs4)), []LineNote{{At: 0, Until: 0.2, Hz: a4, Sure: 0.5, Plucked: true}, {At: 0.2, Until: 0.4, Hz: gs4, Sure: 0.5}}},
		{"up by 0.4 of a semitone", slices.Concat(frames(40, a4), frames(60, a4*factor(40))), []LineNote{{At: 0, Until: 0.5, Hz: a4 * factor(40), Sure: 0.5, Plucked: true}}},
	} {
		got := cut(c.frames, 0, float64(len(c.frames))*Step)
		if len(got) != len(c.want) {
			t.Errorf("%s: %+v", c.what, got)
			continue
		}
		for i, n := range got {
			w := c.want[i]
			if math.Abs(n.At-w.At) > 1e-9 || math.Abs(n.Until-w.Until) > 1e-9 || math.Abs(centsOver(w.Hz, n.Hz)) > 1 || math.Abs(n.Sure-w.Sure) > 1e-9 || n.Plucked != w.Plucked {
				t.Errorf("%s: note %d is %+v, want %+v", c.what, i, n, w)
			}
		}
	}
}

// Of places with one pitch the first of the tab is told when nothing is due, what is due else; a pitch farther than
// farOff from all is none.
func TestNearestPlaceOfTheTab(t *testing.T) {
	due := &tab.Stroke{}
	s := &Steel{places: []stopped{
		{string: 1, hz: 440, strokes: map[*tab.Stroke]bool{}}, {string: 2, hz: 440, strokes: map[*tab.Stroke]bool{due: true}}, {string: 3, hz: 440, strokes: map[*tab.Stroke]bool{due: true}},
		{string: 4, hz: 466.16, strokes: map[*tab.Stroke]bool{}},
	}}
	for _, c := range []struct {
		cents float64
		due   *tab.Stroke
		want  int
	}{{0, nil, 1}, {0, due, 2}, {60, nil, 4}, {60, due, 2}, {74, due, 2}, {76, due, 4}, {-74, nil, 1}, {-76, nil, 0}, {174, nil, 4}, {176, due, 0}} {
		got := 0
		if p := s.near(440*factor(c.cents), c.due); p != nil {
			got = p.string
		}
		if got != c.want {
			t.Errorf("%g cents over A4: string %d, want %d", c.cents, got, c.want)
		}
	}
}

// Without a tab there is nothing to compare with, whatever of it is missing.
func TestReviewNeedsATab(t *testing.T) {
	whole := listentest.Line(rigtest.OpenD(), 1, 4, 5)
	for what, tb := range map[string]*tab.Tab{
		"no tab": nil, "no tune": {Rig: whole.Rig, Strokes: whole.Strokes}, "no rig": {Tune: whole.Tune, Strokes: whole.Strokes}, "no strokes": {Tune: whole.Tune, Rig: whole.Rig},
	} {
		if got, err := Review(nil, tb, Options{}); err == nil || got != nil {
			t.Errorf("%s: %+v", what, got)
		}
	}
	if got, err := Review(nil, whole, Options{Tuned: make([]float64, 5)}); err == nil || got != nil {
		t.Errorf("five strings tuned of six: %+v", got)
	}
}

// Hum is the mains' first three harmonics, where they stand out from what lies 13 Hz beside them by 10 dB and more.
func TestHumStandsOut(t *testing.T) {
	for _, c := range []struct {
		what       string
		hz, height []float64
		want       float64
	}{
		{"50 Hz", []float64{50}, []float64{0.01}, 50},
		{"its third harmonic", []float64{150}, []float64{0.01}, 50},
		{"its fourth", []float64{200}, []float64{0.01}, 0},
		{"50 Hz, and as much 13 Hz below", []float64{50, 37}, []float64{0.01, 0.01}, 0},
		{"60 Hz, and as much 13 Hz above", []float64{60, 73}, []float64{0.01, 0.01}, 0},
		{"100 Hz, and as much 13 Hz above", []float64{100, 113}, []float64{0.01, 0.01}, 0},
		{"50 Hz, and a third of it 13 Hz below", []float64{50, 37}, []float64{0.01, 0.0035}, 50},
		{"50 Hz, and half of it 13 Hz below", []float64{50, 37}, []float64{0.01, 0.005}, 0},
		{"60 Hz, and 50 softer", []float64{60, 50}, []float64{0.01, 0.002}, 60},
	} {
		v, _ := levelOf(t, append(tones(3, c.hz, c.height), tones(1, []float64{440}, []float64{0.5})...))
		if v.HumHz != c.want {
			t.Errorf("%s: %g Hz at %.1f dB", c.what, v.HumHz, v.Hum)
		}
	}
	// A tenth of a second is measured, and less is not.
	for n, want := range map[int]bool{1000: true, 999: false} {
		take := &Take{rate: 10000, inRate: 10000, n: n, x: slices.Repeat([]float64{0.5}, n), peak: 0.5}
		if v := take.Level(); math.IsInf(v.Loud, -1) == want {
			t.Errorf("%d samples: %+v", n, v)
		}
	}
}

// A line of two plucked notes: each from its pluck to just before the next, the last until too little of it is
// left to look at.
func TestLineOfTwoNotes(t *testing.T) {
	var samples []float32
	for _, f := range []float64{220, 277.18} {
		for i, x := range tones(0.4, []float64{f, 2 * f, 3 * f}, []float64{0.3, 0.15, 0.1}) {
			samples = append(samples, x*float32(math.Exp(-3*float64(i)/testRate)))
		}
	}
	take, err := NewTake(samples, testRate)
	if err != nil {
		t.Fatal(err)
	}
	got := take.Line()
	if len(got) != 2 {
		t.Fatalf("%+v", got)
	}
	for i, w := range []LineNote{{At: 0, Until: 0.388, Hz: 220}, {At: 0.4, Until: 0.78, Hz: 277.18}} {
		n := got[i]
		if math.Abs(n.At-w.At) > 0.01 || math.Abs(n.Until-w.Until) > 0.01 || math.Abs(centsOver(w.Hz, n.Hz)) > 3 || !n.Plucked || n.Sure < 0.5 {
			t.Errorf("note %d: %+v, want %+v", i+1, n, w)
		}
	}
}

// An open string says nothing of the steel; takes of another rate are heard as well by the same steel.
func TestNowOfAnOpenString(t *testing.T) {
	r := rigtest.OpenD()
	s := NewSteel(lay(r, 80, []listentest.Spot{{Strings: []int{1}, Frets: []float64{0}, Len: quarter}}), make([]float64, len(r.Strings)))
	d4 := 440 * math.Exp2(-7.0/12)
	for _, rate := range []float64{48000, 44100, 16000} {
		samples := make([]float32, int(NowSeconds*rate)+1)
		for i := range samples {
			samples[i] = float32(0.3 * math.Sin(2*math.Pi*d4*float64(i)/rate))
		}
		take, err := NewTake(samples, rate)
		if err != nil {
			t.Fatal(err)
		}
		h, ok := s.Now(take, nil)
		if !ok || h.String != 1 || h.Fret != 0 || math.Abs(h.Cents) > 1 || !math.IsNaN(h.MM) || h.At != 0 {
			t.Errorf("at %g samples a second: %+v, %v", rate, h, ok)
		}
	}
}
