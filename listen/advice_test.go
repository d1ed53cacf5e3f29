package listen

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// asked is a review of n notes, all in tune and in time, one a bar, at fret 7 of string 1, against
// the player's own tempo; change makes of it what went wrong.
func asked(n int, change func(*adviser)) *adviser {
	r := &reviewer{s: &score{tab: &tab.Tab{}}, time: &timing{}, out: &Reviewed{Against: AgainstTempo, HandOff: math.NaN()}}
	for i := range n {
		r.out.Notes = append(r.out.Notes, Note{BarNumber: i + 1, String: 1, Fret: 7, Status: Played, Sure: true})
		r.notes = append(r.notes, &note{want: &want{stroke: &tab.Stroke{}}})
	}
	a := &adviser{r}
	change(a)
	return a
}

// onlyNotes leaves so many notes and no others, as many cents off.
func onlyNotes(n int, cents float64) func(*adviser) {
	return func(a *adviser) {
		a.out.Notes, a.notes = a.out.Notes[:n], a.notes[:n]
		for i := range n {
			a.out.Notes[i].Cents = cents
		}
	}
}

// eachNote changes so many notes.
func eachNote(n int, do func(*Note)) func(*adviser) {
	return func(a *adviser) {
		for i := range n {
			do(&a.out.Notes[i])
		}
	}
}

// adviceCases are what goes wrong in a take, and what is said of it.
var adviceCases = []struct {
	what   string
	find   func(*adviser) []Advice
	change func(*adviser)
	say    string // "" for nothing
	bars   []int
}{
	{"a string 5 cents flat", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: -5, Told: true}} }, "String 1 is tuned about 5 cents flat, open and under the steel alike: raise it", nil},
	{"sharp", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: 12, Told: true}} }, "12 cents sharp, open and under the steel alike: let it down", nil},
	{"4 cents, which nobody hears", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: -4.9, Told: true}} }, "", nil},
	{"8 cents, give or take 5", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: 8, Doubt: 5, Told: true}} }, "", nil},
	{"10 cents, give or take 5", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: 10, Doubt: 5, Told: true}} }, "10 cents sharp", nil},
	{"what can't be told", (*adviser).adviseStrings, func(a *adviser) { a.tuned = []StringTuning{{String: 1, Cents: 20}} }, "", nil},

	{"slants that lean too much", (*adviser).adviseSlants, func(a *adviser) {
		a.out.Slants = []Slant{{BarNumber: 3, Wanted: 20, Degrees: 24, Sure: true}, {BarNumber: 2, Wanted: -20, Degrees: -23, Sure: true}}
	}, "The slants lean too much, by about 4 degrees", []int{2, 3}},
	{"too little", (*adviser).adviseSlants, func(a *adviser) {
		a.out.Slants = []Slant{{BarNumber: 3, Wanted: 20, Degrees: 17, Sure: true}, {BarNumber: 2, Wanted: -20, Degrees: -17, Sure: true}}
	}, "The slants do not lean enough, by about 3 degrees", []int{2, 3}},
	{"one slant is no habit", (*adviser).adviseSlants, func(a *adviser) { a.out.Slants = []Slant{{Wanted: 20, Degrees: 30, Sure: true}} }, "", nil},
	{"each off another way", (*adviser).adviseSlants, func(a *adviser) {
		a.out.Slants = []Slant{{Wanted: 20, Degrees: 24, Sure: true}, {Wanted: 20, Degrees: 16, Sure: true}}
	}, "", nil},
	{"slants that can't be told, are right or none", (*adviser).adviseSlants, func(a *adviser) {
		a.out.Slants = []Slant{{Wanted: 20, Degrees: 30}, {Wanted: 20, Degrees: 30, Sure: true, Right: true}, {Wanted: 0.5, Degrees: 9, Sure: true}, {Wanted: 20, Degrees: 30, Sure: true}}
	}, "", nil},

	{"the steel 0.9 mm short", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = -0.9, 0.1 }, "about 0.9 mm short of the fret line, towards the nut throughout, which is heard more the higher you play: bring it forward", nil},
	{"beyond", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = 1.5, 0.1 }, "about 1.5 mm beyond the fret line, towards the bridge throughout, which is heard more the higher you play: bring it back", nil},
	{"0.8 mm", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = 0.8, 0.1 }, "", nil},
	{"1 mm, give or take half", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM, a.out.HandOff = 1, 0.5 }, "", nil},
	{"who knows", (*adviser).adviseHand, func(a *adviser) { a.out.HandMM = 3 }, "", nil},

	{"all flat, no string told", (*adviser).adviseUntold, onlyNotes(4, -12), "about 10 cents flat", nil},
	{"all sharp", (*adviser).adviseUntold, onlyNotes(5, 13), "about 15 cents sharp", nil},
	{"as they are meant", (*adviser).adviseUntold, func(a *adviser) {
		onlyNotes(5, 13)(a)
		eachNote(5, func(n *Note) { n.Meant = 13 })(a)
	}, "", nil},
	{"three notes", (*adviser).adviseUntold, onlyNotes(3, -12), "", nil},
	{"where a string is told", (*adviser).adviseUntold, func(a *adviser) {
		onlyNotes(5, -12)(a)
		a.tuned = []StringTuning{{Told: true}}
	}, "", nil},
	{"where the hand is told", (*adviser).adviseUntold, func(a *adviser) {
		onlyNotes(5, -12)(a)
		a.out.HandMM, a.out.HandOff = -3, 0.2
	}, "", nil},
	{"half of them right", (*adviser).adviseUntold, func(a *adviser) {
		eachNote(12, func(n *Note) { n.Cents = -12 })(a)
		eachNote(6, func(n *Note) { n.Cents = 1 })(a)
	}, "", nil},

	{"six notes low on the neck", (*adviser).adviseRegion, eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 3, 1 }), "Below fret 5 the steel lies about 1.0 mm too far towards the bridge", []int{1, 2, 3, 4, 5, 6}},
	{"five", (*adviser).adviseRegion, eachNote(5, func(n *Note) { n.Fret, n.SteelMM = 3, 1 }), "", nil},
	{"high up, towards the nut", (*adviser).adviseRegion, eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 12, -2 }), "From fret 12 up the steel lies about 2.0 mm too far towards the nut", []int{1, 2, 3, 4, 5, 6}},
	{"hardly off", (*adviser).adviseRegion, eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 3, 0.8 }), "", nil},
	{"as everywhere", (*adviser).adviseRegion, func(a *adviser) {
		a.out.HandMM = 1
		eachNote(6, func(n *Note) { n.Fret, n.SteelMM = 3, 1 })(a)
		for i := 6; i < 12; i++ {
			a.out.Notes[i].SteelMM = 1
		}
	}, "", nil},
	{"under slants", (*adviser).adviseRegion, eachNote(6, func(n *Note) { n.Fret, n.SteelMM, n.Slanted = 3, 1, true }), "", nil},

	{"a note missed", (*adviser).adviseMissed, eachNote(1, func(n *Note) { n.Status = Missed }), "1 note is not heard, in bar 1:", []int{1}},
	{"two", (*adviser).adviseMissed, eachNote(2, func(n *Note) { n.Status = Missed }), "2 notes are not heard, in bars 1 and 2:", []int{1, 2}},
	{"other notes", (*adviser).adviseMissed, eachNote(2, func(n *Note) { n.Status = Wrong }), "Another note than the tab's sounds twice, in bars 1 and 2:", []int{1, 2}},
	{"missed and right", (*adviser).adviseMissed, eachNote(2, func(n *Note) { n.Status, n.Right = Missed, true }), "", nil},

	{"two notes too many", (*adviser).adviseExtra, func(a *adviser) { a.out.Extra = make([]Extra, 2) }, "2 notes were heard that the tab does not have", nil},
	{"one", (*adviser).adviseExtra, func(a *adviser) { a.out.Extra = make([]Extra, 1) }, "", nil},

	{"three late", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = 0.06 }), "3 notes are late, by about 60 ms, in bars 1, 2 and 3", []int{1, 2, 3}},
	{"late against the click", (*adviser).adviseLate, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(3, func(n *Note) { n.Late = 0.06 })(a)
	}, "3 notes are late against the click, by about 60 ms", []int{1, 2, 3}},
	{"two late", (*adviser).adviseLate, eachNote(2, func(n *Note) { n.Late = 0.06 }), "", nil},
	{"by 45 ms", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = 0.045 }), "", nil},
	{"where time wavers", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late, n.Adrift = 0.06, true }), "", nil},
	{"early", (*adviser).adviseLate, eachNote(3, func(n *Note) { n.Late = -0.06 }), "", nil},

	{"ahead of the click", (*adviser).adviseAhead, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(12, func(n *Note) { n.Late = -0.04 })(a)
	}, "You play about 40 ms ahead of the click throughout", nil},
	{"ahead of one's own tempo", (*adviser).adviseAhead, eachNote(12, func(n *Note) { n.Late = -0.04 }), "", nil},
	{"seven notes ahead", (*adviser).adviseAhead, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(12, func(n *Note) { n.Late = math.NaN() })(a)
		eachNote(7, func(n *Note) { n.Late = -0.04 })(a)
	}, "", nil},
	{"eight", (*adviser).adviseAhead, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(12, func(n *Note) { n.Late = math.NaN() })(a)
		eachNote(8, func(n *Note) { n.Late = -0.04 })(a)
	}, "about 40 ms ahead", nil},
	{"a little ahead", (*adviser).adviseAhead, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(12, func(n *Note) { n.Late = -0.02 })(a)
	}, "", nil},
	{"behind it", (*adviser).adviseAhead, func(a *adviser) {
		a.out.Against = AgainstClick
		eachNote(12, func(n *Note) { n.Late = 0.04 })(a)
	}, "", nil},

	{"four slid into", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles = -30, 0.2 }), "4 notes slide after the pluck", []int{1, 2, 3, 4}},
	{"three", (*adviser).adviseAttack, eachNote(3, func(n *Note) { n.Scoop, n.Settles = -30, 0.2 }), "", nil},
	{"by 25 cents", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles = 25, 0.2 }), "", nil},
	{"settled at once", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles = 30, 0.09 }), "", nil},
	{"glides that the tab has", (*adviser).adviseAttack, eachNote(4, func(n *Note) { n.Scoop, n.Settles, n.Glided = 30, 0.2, true }), "", nil},

	{"four that wander", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread = 11 }), "The pitch wanders in bars 1, 2, 3 and 4", []int{1, 2, 3, 4}},
	{"three", (*adviser).adviseSteady, eachNote(3, func(n *Note) { n.Spread = 11 }), "", nil},
	{"hardly", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread = 10 }), "", nil},
	{"with vibrato", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread, n.Vibrato = 15, 5 }), "", nil},
	{"open strings", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread, n.Fret = 15, 0 }), "", nil},
	{"nobody knows", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread = math.NaN() }), "", nil},
	{"right as they were", (*adviser).adviseSteady, eachNote(4, func(n *Note) { n.Spread, n.Right = 15, true }), "", nil},
}

// What a teacher would say of a take and from where on: the bounds are those named in
// advice.go with their reasons. What a teacher called right is passed over.
func TestAdviceFromWhereOn(t *testing.T) {
	for _, c := range adviceCases {
		got := c.find(asked(12, c.change))
		switch {
		case c.say == "" && len(got) > 0:
			t.Errorf("%s: %q", c.what, got[0].Text)
		case c.say != "" && (len(got) != 1 || !strings.Contains(got[0].Text, c.say) || !slices.Equal(got[0].Bars, c.bars)):
			t.Errorf("%s: %+v; want %q in bars %v", c.what, got, c.say, c.bars)
		case c.say != "" && !(got[0].worth > 0):
			t.Errorf("%s is worth %g", c.what, got[0].worth)
		}
	}
}

// What is farther off, or off in more notes, comes first; five things are told at most; who has
// no fault is told so.
func TestAdviceInOrder(t *testing.T) {
	spoil := func(late, missed int) func(*adviser) {
		return func(a *adviser) {
			a.s.tab = listentest.Line(rigtest.OpenD(), 1, 24, 5)
			for i := range a.notes {
				a.notes[i].stroke = &a.s.tab.Strokes[i]
			}
			for i := range late {
				a.out.Notes[i].Late = 0.06
			}
			for i := range missed {
				a.out.Notes[len(a.out.Notes)-1-i].Status = Missed
			}
		}
	}
	first := func(n, late, missed int) string {
		all := asked(n, spoil(late, missed)).advise()
		if len(all) == 0 {
			return ""
		}
		return all[0].Text
	}
	if got := first(12, 0, 0); !strings.HasPrefix(got, "Well played") {
		t.Errorf("without a fault: %q", got)
	}
	if got := first(0, 0, 0); got != "" {
		t.Errorf("of nothing: %q", got)
	}
	if got := first(20, 15, 1); !strings.Contains(got, "late") {
		t.Errorf("of 15 late and one missed first comes %q", got)
	}
	if got := first(20, 3, 9); !strings.Contains(got, "not heard") {
		t.Errorf("of 3 late and 9 missed first comes %q", got)
	}
	all := asked(12, func(a *adviser) {
		spoil(3, 2)(a)
		for i := range 6 {
			a.tuned = append(a.tuned, StringTuning{String: i + 1, Cents: float64(6 + i), Told: true})
		}
	}).advise()
	if len(all) != mostAdvice {
		t.Errorf("%d things are told", len(all))
	}
	for i := 1; i < len(all); i++ {
		if all[i].worth > all[i-1].worth {
			t.Errorf("%q comes after %q", all[i].Text, all[i-1].Text)
		}
	}
}

// Bars in words, each once and in order, and verbs that agree with them.
func TestBarWords(t *testing.T) {
	for _, c := range []struct {
		bars []int
		want string
	}{
		{[]int{6}, "bar 6 is"}, {[]int{3, 2, 3}, "bars 2 and 3 are"}, {[]int{7, 3, 2}, "bars 2, 3 and 7 are"},
		{[]int{1, 2, 3, 4, 5, 6, 7, 8}, "bars 1, 2, 3, 4, 5, 6, 7 and 8 are"}, {[]int{1, 2, 3, 4, 5, 6, 7, 8, 9}, "many bars are"},
	} {
		bars := tidy(c.bars)
		if got := barWords(bars) + isAre(len(bars)); got != c.want {
			t.Errorf("%v: %q, want %q", c.bars, got, c.want)
		}
		if got := barsAre(bars); !strings.EqualFold(got, c.want) || got == c.want {
			t.Errorf("%v begins a sentence as %q", c.bars, got)
		}
	}
	if isWere(1)+isWere(2) != " was were" {
		t.Errorf("was and were: %q, %q", isWere(1), isWere(2))
	}
	for shift, want := range map[int]string{1: "1 semitone higher than the tab: tune", -1: "1 semitone lower than the tab: tune", 2: "2 semitones higher than the tab: it may", -12: "12 semitones lower than the tab: it may"} {
		if got := shiftWords(shift); !strings.Contains(got, want) {
			t.Errorf("a shift of %d: %q, want %q", shift, got, want)
		}
	}
	for fret, want := range map[float64]int{0: -1, 0.5: 0, 4.99: 0, 5: 1, 11.9: 1, 12: 2, 30: 2} {
		got := slices.IndexFunc(Regions(), func(r Region) bool { return r.Holds(fret) })
		if got != want {
			t.Errorf("fret %g is in region %d, want %d", fret, got, want)
		}
	}
}

// Strings are tuned equal, just, half of the way, or by so many cents each from the lowest on,
// up to 100.
func TestTunedTo(t *testing.T) {
	r := rigtest.OpenD() // D A F# D A D from the first string on
	near := func(got, want []float64) bool {
		return slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 0.01 })
	}
	// Against the root the fifth of two is 3:2, 1.955 cents wider than equal, the third 5:4, 13.686 narrower.
	just := []float64{0, 1.955, -13.686, 0, 1.955, 0}
	half := make([]float64, 6)
	for i := range half {
		half[i] = just[i] / 2
	}
	for way, want := range map[string][]float64{
		"equal": make([]float64, 6), "just": just, "between": half,
		"1, 2, 3,4,5,-100": {-100, 5, 4, 3, 2, 1}, "100,0,0,0,0,0": {0, 0, 0, 0, 0, 100},
	} {
		if got, err := TunedTo(r, way); err != nil || !near(got, want) {
			t.Errorf("%s: %v, %v; want %v", way, got, err, want)
		}
	}
	for _, way := range []string{"", "pure", "1,2,3,4,5", "1,2,3,4,5,6,7", "1,2,3,4,5,101", "1,2,3,4,5,-101", "1,2,3,4,5,x"} {
		if got, err := TunedTo(r, way); err == nil {
			t.Errorf("%q is %v", way, got)
		}
	}
}

// The tempo between notes: a straight line through plucks that one late note bends by less
// than a fifth of what it is late; from
// the notes around a place, or on from the nearest where there are none.
func TestTimingBetweenNotes(t *testing.T) {
	for _, c := range []struct {
		v    []float64
		want float64
	}{{nil, 0}, {[]float64{3}, 3}, {[]float64{3, 1}, 2}, {[]float64{9, 1, 2}, 2}, {[]float64{9, 1, 2, 4}, 3}} {
		if got := median(slices.Clone(c.v)); got != c.want {
			t.Errorf("the middle of %v is %g, want %g", c.v, got, c.want)
		}
	}
	s, a := &score{}, &aligned{}
	var heard []pluckHeard
	for i := range 12 { // half as fast as written, from second 5 on; the sixth is 80 ms late
		s.groups = append(s.groups, group{due: float64(i) / 2})
		a.onset = append(a.onset, i)
		at := 5 + float64(i)
		if i == 5 {
			at += 0.08
		}
		heard = append(heard, pluckHeard{Onset: Onset{At: at}})
	}
	a.onset[8] = -1 // was not heard
	tm := newTiming(s, a, heard)
	if got := tm.pace(); math.Abs(got-2) > 0.01 {
		t.Errorf("the pace is %g, want 2", got)
	}
	for i, c := range tm.anchors {
		want := 5 + 2*c.due
		if !c.smoothOK || math.Abs(c.smooth-want) > 0.015 {
			t.Errorf("pluck %d would come at %g from a steady hand, want %g", i, c.smooth, want)
		}
	}
	for _, c := range []struct {
		group     int
		due, want float64
	}{{0, 0, 5}, {2, 1.25, 7.5}, {8, 4, 13}, {11, 6, 17}, {0, -0.5, 4}} {
		if got, ok := tm.seconds(c.group, c.due); !ok || math.Abs(got-c.want) > 0.01 {
			t.Errorf("%g of the score is at %g, %v; want %g", c.due, got, ok, c.want)
		}
	}
	// Nothing before: back from what comes.
	late := &aligned{onset: slices.Clone(a.onset)}
	for i := range 4 {
		late.onset[i] = -1
	}
	if got, ok := newTiming(s, late, heard).seconds(1, 0.5); !ok || math.Abs(got-6) > 0.05 {
		t.Errorf("before the first pluck heard: %g, %v; want 6", got, ok)
	}
	none := &aligned{onset: slices.Repeat([]int{-1}, 12)}
	if got, ok := newTiming(s, none, heard).seconds(1, 0.5); ok || newTiming(s, none, heard).pace() != 1 {
		t.Errorf("where nothing was heard: %g", got)
	}
	// A jump back and a pause part the tempo.
	parted := func(at func(i int) float64, onset []int) []int {
		var hs []pluckHeard
		for i := range 12 {
			hs = append(hs, pluckHeard{Onset: Onset{At: at(i)}})
		}
		var out []int
		for _, c := range newTiming(s, &aligned{onset: onset}, hs).anchors {
			out = append(out, c.stretch)
		}
		return out
	}
	if got := fmt.Sprint(parted(func(i int) float64 { return float64(i)/2 + map[bool]float64{true: 10}[i >= 6] }, slices.Clone(none.onset[:0]))); got != "[]" {
		t.Errorf("without plucks: %s", got)
	}
	all := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	if got := fmt.Sprint(parted(func(i int) float64 { return float64(i)/2 + map[bool]float64{true: 10}[i >= 6] }, all)); got != "[0 0 0 0 0 0 1 1 1 1 1 1]" {
		t.Errorf("a pause before the seventh pluck: %s", got)
	}
	if got := fmt.Sprint(parted(func(i int) float64 { return float64(i) / 2 }, []int{6, 7, 8, 9, 10, 11, 0, 1, 2, 3, 4, 5})); got != "[0 0 0 0 0 0 1 1 1 1 1 1]" {
		t.Errorf("a jump back after six plucks: %s", got)
	}
}
