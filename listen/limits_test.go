package listen

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// rose is a pluck at which so many keys rose, the first the most and the others half of it.
func rose(keys ...int) pluckHeard {
	var p pluckHeard
	for i, k := range keys {
		p.rise[k] = 1 / float64(min(2, i+1))
	}
	return p
}

// What a pluck of the tab was: played, missed or another note. The tab has key 60; the bounds are those of measure.go
// and review.go, met exactly and just passed.
func TestWhatBecomesOfAPluck(t *testing.T) {
	there := note{found: true, loud: 1, partials: 2, until: 1}
	known := note{found: true, loud: 1, partials: 3, cents: 39.5, until: 1}
	off := note{found: true, loud: 1, partials: 3, cents: -40, until: 1}
	soft := func(loud float64) note { return note{found: true, loud: loud, until: 1} }
	lasting := func(seconds float64) note { return note{until: seconds} }
	for _, c := range []struct {
		what  string
		notes []note
		heard pluckHeard
		clear float64
		want  string // found or not, wrong or not, of the last note
	}{
		{"4.5 % as loud as the loudest", []note{soft(2), soft(0.09)}, rose(60), 3, "played"},
		{"4.4 %", []note{soft(2), soft(0.088)}, rose(60), 3, "missed"},
		{"4.5 % under louder ones that were not found", []note{{loud: 9, until: 1}, soft(1), soft(0.045)}, rose(60), 3, "played"},
		{"alone and soft", []note{soft(0.001)}, rose(60), 3, "played"},
		{"half of what rose most", []note{there}, rose(65, 60), 3, "played"},
		{"nothing of it rose", []note{there}, rose(65), 3, "another"},
		{"and what did stands out 1.9 times", []note{there}, rose(65), leastClearOverTrace, "played"},
		{"two strings, nothing of it rose", []note{there, there}, rose(65), 3, "played"},
		{"three partials", []note{known}, rose(65), 2.4, "played"},
		{"three partials, and another stands out", []note{known}, rose(65), 2.5, "another"},
		{"three partials, an octave below what rose", []note{known}, rose(72), 2.5, "played"},
		{"a trace an octave below what rose", []note{there}, rose(72), 2.5, "another"},
		{"three partials a quarter of a tone off", []note{off}, rose(72), 2.4, "another"},
		{"half of what rose most, its pitch not found in a tenth of a second", []note{lasting(0.1)}, rose(65, 60), 3, "missed"},
		{"nor in an eighth", []note{lasting(0.125)}, rose(65, 60), 3, "another"},
		{"and what rose hardly stands out", []note{lasting(0.125)}, rose(65, 60), leastClear, "missed"},
		{"in a sixteenth, late in the take", []note{{at: 10, until: 10.0625}}, rose(65, 60), 3, "missed"},
		{"none of two strings", []note{lasting(1), lasting(1)}, rose(65), 3, "missed"},
	} {
		c.heard.clear = c.clear
		r := &reviewer{heard: []pluckHeard{c.heard}, a: &aligned{onset: []int{0, -1}}}
		var now []*note
		for i := range c.notes {
			n := c.notes[i]
			n.want = &want{key: 60, begun: true}
			now = append(now, &n)
		}
		last := now[len(now)-1]
		was := *last
		r.judge(now, 1)
		if last.found != was.found || last.wrong {
			t.Errorf("%s: judged without a pluck", c.what)
		}
		r.judge(now, 0)
		got := "missed"
		switch {
		case last.wrong:
			got = "another"
		case last.found:
			got = "played"
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
	}
}

// What was plucked up to three seconds ago rings on, and is no pluck of its own within a hundredth; what is carried, and
// what lies half a semitone off, is another note.
func TestWhatRingsOnFromBefore(t *testing.T) {
	for _, c := range []struct {
		what    string
		at, key float64
		want    bool
	}{
		{"a hundredth before", 0.01, 60, true}, {"less", 0.0078125, 60, false}, {"three seconds before", 3, 60, true}, {"longer", 3.5, 60, false},
		{"a quarter of a tone over it", 1, 60.5, false}, {"less over it", 1, 60.25, true}, {"a quarter of a tone under it", 1, 59.5, false},
	} {
		n := &note{want: &want{key: c.key}, at: c.at}
		r := &reviewer{notes: []*note{{want: &want{key: 60}}, n}}
		if got := r.rings(n); got != c.want {
			t.Errorf("%s: %v", c.what, got)
		}
		r.notes = []*note{r.notes[0], {want: &want{key: 70}, at: c.at / 2}, n}
		if got := r.rings(n); got != c.want && c.at != 0.01 {
			t.Errorf("%s, and another since: %v", c.what, got)
		}
	}
	for off, kin := range map[int]bool{0: true, 12: true, -12: true, 19: true, -24: true, 28: true, -31: true, 7: false, 11: false, -13: false, 36: false} {
		if p := rose(60 + off); p.kin(60.3) != kin {
			t.Errorf("%d semitones from it: %v, want %v", off, p.kin(60.3), kin)
		}
	}
}

// The steel carries a string from 0.3 s before a note that is glided into until 0.08 s after; onsets then are its own.
func TestSteelCarriesAString(t *testing.T) {
	for _, c := range []struct {
		what     string
		due, at  float64
		begun    bool
		carrying bool
	}{
		{"0.3 s before", 0.3, 0, false, false}, {"less before", 0.25, 0, false, true}, {"0.08 s after", 0, 0.08, false, false}, {"less after", 0, 0.0625, false, true}, {"plucked", 0, 0, true, false},
	} {
		r := &reviewer{notes: []*note{{want: &want{begun: c.begun}, at: c.due}}}
		if got := r.glides(c.at); got != c.carrying {
			t.Errorf("%s: %v", c.what, got)
		}
	}
}

// From when on an onset is told as a note that the tab doesn't have (weakExtra, softestExtra, softestRise, leastClear).
// The tab's own plucks rise by 2.
func TestExtraFromWhereOn(t *testing.T) {
	own := pluckHeard{rose: 2}
	for _, c := range []struct {
		what                        string
		strength, gain, rose, clear float64
		change                      func(*reviewer, *pluckHeard)
		told                        bool
	}{
		{"strong", 1, 1, 0, 3, nil, true},
		{"standing out 2.4 times", 1, 1, 1, 2.4, nil, true},
		{"less", 1, 1, 1, 2.375, nil, false},
		{"of 0.3 of the strength, 3 dB softer after it", weakExtra, softestExtra, 0, 3, nil, true},
		{"weaker", 0.25, 1, 0.6875, 3, nil, false},
		{"weaker, but rising by 0.35", 0.25, 1, 2 * softestRise, 3, nil, true},
		{"strong, and softer after it than 3 dB", 1, 0.5, 0.6875, 3, nil, false},
		{"and rising by 0.35", 1, 0.5, 2 * softestRise, 3, nil, true},
		{"the tab's own", 1, 1, 1, 3, func(r *reviewer, _ *pluckHeard) { r.a.used[1] = true }, false},
		{"begun anew", 1, 1, 1, 3, func(r *reviewer, _ *pluckHeard) { r.a.again[1] = true }, false},
		{"a click", 1, 1, 1, 3, func(_ *reviewer, h *pluckHeard) { h.click = true }, false},
		{"under a glide", 1, 1, 1, 3, func(r *reviewer, h *pluckHeard) { r.notes = []*note{{want: &want{}, at: h.At}} }, false},
	} {
		h := rose(69)
		h.At, h.Strength, h.gain, h.rose, h.clear = 2, c.strength, c.gain, c.rose, c.clear
		r := &reviewer{s: newScore(line(rigtest.OpenD(), 1, 4, 5), make([]float64, 6)), a: &aligned{used: []bool{true, false}, again: make([]bool, 2)}, out: &Reviewed{}}
		if c.change != nil {
			c.change(r, &h)
		}
		r.heard = []pluckHeard{own, h}
		r.extras()
		want := []Extra{{Onset: 2, Pitch: pitch.SpellKey(69, 0)}}
		if !c.told {
			want = nil
		}
		if !slices.Equal(r.out.Extra, want) {
			t.Errorf("%s: %v", c.what, r.out.Extra)
		}
	}
}

// onStrings is a reviewer of a tab of quarters, one a bar, open D's strings plucked one at a time at a fret; nothing was
// heard of it yet.
func onStrings(fret float64, strings ...int) *reviewer {
	var spots []spotOfOne
	for _, s := range strings {
		spots = append(spots, spotOfOne{s, fret})
	}
	return onSpots(spots)
}

type spotOfOne struct {
	string int
	fret   float64
}

func onSpots(spots []spotOfOne) *reviewer {
	r := rigtest.OpenD()
	tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
	tb := &tab.Tab{Tune: tn, Rig: r}
	for i, s := range spots {
		tn.Bars = append(tn.Bars, tune.Bar{Number: i + 1, Meter: tune.Meter{Beats: 1, Unit: 4}, Len: quarter, Lines: [][]tune.Event{nil}})
		tb.Strokes = append(tb.Strokes, tab.Stroke{BarIndex: i, Len: quarter, Placement: laid(r, []int{s.string}, []float64{s.fret}), Plucks: []tab.Pluck{{String: s.string, Fret: s.fret, Len: quarter}}})
	}
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: quarter, PerMinute: 60000}}
	v := &reviewer{s: newScore(tb, make([]float64, len(r.Strings))), a: &aligned{}, time: &timing{}, out: &Reviewed{}}
	for i := range v.s.wants {
		w := &v.s.wants[i]
		v.notes = append(v.notes, &note{want: w, at: w.due, until: w.due + 1, found: true, hz: w.hz, partials: 3})
		v.a.onset = append(v.a.onset, -1)
		v.time.before = append(v.time.before, -1)
	}
	return v
}

// What is written of a note: whether it was played where it could not be told by its pitch, and from when on it is
// surely measured.
func TestWhatIsWrittenOfANote(t *testing.T) {
	for _, c := range []struct {
		what   string
		change func(*note)
		heard  bool // its pluck
		want   Status
		sure   bool
	}{
		{"in tune", func(*note) {}, true, Played, true},
		{"give or take 2.5 cents", func(n *note) { n.doubt = 2.5 }, true, Played, true},
		{"give or take 3", func(n *note) { n.doubt = 3 }, true, Played, false},
		{"wandering by 24.5 cents", func(n *note) { n.spread = 24.5 }, true, Played, true},
		{"by 25", func(n *note) { n.spread = 25 }, true, Played, false},
		{"who knows how it wanders", func(n *note) { n.spread = -1 }, true, Played, false},
		{"another", func(n *note) { n.found, n.wrong = false, true }, true, Wrong, false},
		{"without a pluck or a pitch", func(n *note) { n.found, n.single = false, true }, false, Missed, false},
		{"alone without a pitch", func(n *note) { n.found, n.single = false, true }, true, Played, false},
		{"all of it another string's", func(n *note) { n.found, n.shared = false, true }, true, Played, false},
		{"among others without a pitch", func(n *note) { n.found = false }, true, Missed, false},
		{"and 0.12 s long", func(n *note) { n.found, n.until = false, 0.12 }, true, Missed, false},
		{"shorter", func(n *note) { n.found, n.until = false, 0.109375 }, true, Played, false},
		{"late in the take", func(n *note) { n.found, n.at, n.until = false, 10, 10.0625 }, true, Played, false},
		{"and its pluck not heard", func(n *note) { n.found, n.until = false, 0.0625 }, false, Missed, false},
		{"glided into", func(n *note) { n.found, n.want.begun = false, false }, false, Played, false},
	} {
		r := onStrings(5, 1)
		if c.heard {
			r.a.onset[0] = 0
		}
		n := r.notes[0]
		c.change(n)
		r.writeNotes()
		got := r.out.Notes[0]
		if got.Status != c.want || got.Sure != c.sure {
			t.Errorf("%s: %s, surely %v; want %s, %v", c.what, got.Status, got.Sure, c.want, c.sure)
		}
		if math.IsNaN(got.Spread) != (n.spread < 0 || !n.found) {
			t.Errorf("%s: it wanders by %g", c.what, got.Spread)
		}
		if n.found && (got.SteelMM != 0 && math.Abs(got.SteelMM) > 1e-9 || !math.IsNaN(got.MMDoubt)) {
			t.Errorf("%s: the steel is %g mm off, give or take %g, and it is right over the line, its string's tuning not told", c.what, got.SteelMM, got.MMDoubt)
		}
	}
	// An open string says nothing of the steel; a harmonic an octave above the fifth fret says where that is.
	r := onStrings(0, 1)
	r.writeNotes()
	if mm := r.out.Notes[0].SteelMM; !math.IsNaN(mm) {
		t.Errorf("the steel lies %g mm off on an open string", mm)
	}
	r = onStrings(5, 1)
	n := r.notes[0]
	x := r.place(n, 0)
	if want := float64(r.s.g.X(5)); math.Abs(x-want) > 1e-9 {
		t.Errorf("fret 5 is stopped at %g mm, want %g", x, want)
	}
	// Ten cents sharp where the string is ten cents sharp, the steel is where it should be.
	if got := r.place(&note{want: n.want, hz: n.hz * factor(10)}, 10); math.Abs(got-x) > 1e-9 {
		t.Errorf("on a sharp string fret 5 is stopped at %g mm, want %g", got, x)
	}
	n.hz, n.pluck.Node = 2*n.hz, 2
	if got := r.place(n, 0); got != x {
		t.Errorf("its octave as a harmonic is stopped at %g mm, and it at %g", got, x)
	}
	n.hz, n.pluck.Node = n.hz/2, 1
	if got := r.place(n, 0); got != x {
		t.Errorf("the first harmonic is stopped at %g mm, and the note at %g", got, x)
	}
}

// The tempo is told from four plucks on: quarters at 60 a minute, played twice as slowly. Notes that are all due at once
// have none.
func TestTempoFromFourPlucksOn(t *testing.T) {
	for n, want := range map[int]float64{3: 0, 4: 30} {
		r := onStrings(5, slices.Repeat([]int{1}, n+1)...)
		r.notes = r.notes[1:] // the take begins at the second bar
		for range n {
			r.time.anchors = append(r.time.anchors, anchor{pace: 2})
		}
		r.tempo()
		if math.Abs(r.out.Tempo-want) > 1e-9 {
			t.Errorf("of %d plucks: %g, want %g", n, r.out.Tempo, want)
		}
	}
	r := onStrings(5, 1)
	r.time.anchors = make([]anchor, 4)
	r.tempo()
	if r.out.Tempo != 0 {
		t.Errorf("of one note: %g", r.out.Tempo)
	}
}

// The just third lies 386.314 cents over the root, 13.686 below the equal one, and the fifth 701.955, 1.955 above
// (Helmholtz, On the Sensations of Tone, 5:4 and 3:2); a chord holds for the bars after it, three at the most, from where it stands.
func TestJustByTheChord(t *testing.T) {
	r := onStrings(4, 1, 1, 1, 1, 1, 1) // F#4 at fret 4 of D
	chord, err := pitch.ParseChord("D")
	if err != nil {
		t.Fatal(err)
	}
	r.s.tab.Tune.Bars[1].Chords = []tune.ChordAt{{Chord: &chord}}
	for i, told := range []bool{false, true, true, true, true, false} {
		off, ok := r.just(r.notes[i])
		if ok != told || ok && math.Abs(off+13.686) > 0.001 {
			t.Errorf("in bar %d the third is %g, %v", i+1, off, ok)
		}
	}
	// Later than the note it doesn't hold.
	r.s.tab.Tune.Bars[1].Chords[0].At = 1
	if off, ok := r.just(r.notes[1]); ok {
		t.Errorf("before the chord the third is %g", off)
	}
	r.s.tab.Tune.Bars[0].Chords = []tune.ChordAt{{Chord: &chord}}
	for key, want := range map[float64]float64{62: 0, 54: -13.686, 57: 1.955, 81: 1.955} {
		r.notes[0].key = key
		if off, ok := r.just(r.notes[0]); !ok || math.Abs(off-want) > 0.001 {
			t.Errorf("key %g is %g, %v; want %g", key, off, ok, want)
		}
	}
	// The ninth lies 203.910 cents over the root's octave, 9:4 (the same, 9:8).
	ninth, err := pitch.ParseChord("D9")
	if err != nil {
		t.Fatal(err)
	}
	r.s.tab.Tune.Bars[0].Chords[0].Chord, r.notes[0].key = &ninth, 64
	if off, ok := r.just(r.notes[0]); !ok || math.Abs(off-3.910) > 0.001 {
		t.Errorf("the ninth is %g, %v; want 3.910", off, ok)
	}
	r.notes[0].key = 63
	if off, ok := r.just(r.notes[0]); ok {
		t.Errorf("a tone that the chord doesn't have is %g", off)
	}
}

// What the player's thirds are nearer to, by more than two cents and from four on.
func TestNearerToEqualOrJust(t *testing.T) {
	third := func(n int, cents func(just float64) float64, doubt float64) string {
		r := onStrings(4, slices.Repeat([]int{1}, n)...)
		chord, _ := pitch.ParseChord("D")
		for i := range r.s.tab.Tune.Bars {
			r.s.tab.Tune.Bars[i].Chords = []tune.ChordAt{{Chord: &chord}}
		}
		for _, v := range r.notes {
			off, _ := r.just(v)
			v.cents, v.doubt = cents(off), doubt
		}
		r.nearer()
		return r.out.Nearer
	}
	for _, c := range []struct {
		what  string
		n     int
		cents func(just float64) float64
		doubt float64
		want  string
	}{
		{"four equal", 4, func(float64) float64 { return 0 }, 0, "equal"},
		{"three", 3, func(float64) float64 { return 0 }, 0, ""},
		{"four just", 4, func(just float64) float64 { return just }, 0, "just"},
		{"in the middle", 4, func(just float64) float64 { return just / 2 }, 0, ""},
		{"two cents nearer to equal", 4, func(just float64) float64 { return (just + 2) / 2 }, 0, ""},
		{"more", 4, func(just float64) float64 { return (just + 2.25) / 2 }, 0, "equal"},
		{"two cents nearer to just", 4, func(just float64) float64 { return (just - 2) / 2 }, 0, ""},
		{"more", 4, func(just float64) float64 { return (just - 2.25) / 2 }, 0, "just"},
		{"give or take 2.5 cents", 4, func(just float64) float64 { return just }, 2.5, "just"},
		{"give or take 3", 4, func(just float64) float64 { return just }, 3, ""},
	} {
		if got := third(c.n, c.cents, c.doubt); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}

// A string's tuning is told from two notes on, each measured to 4 cents; the hand is told where it moves the pitch more
// towards the bridge.
func TestStringsAreToldFromTwoNotes(t *testing.T) {
	for _, c := range []struct {
		what   string
		open   int
		doubt  float64
		change func(*note)
		told   bool
	}{
		{"two", 2, 4, nil, true}, {"one", 1, 0, nil, false}, {"two, give or take 4.5 cents", 2, 4.5, nil, false},
		{"two not found", 2, 0, func(n *note) { n.found = false }, false},
		{"two harmonics", 2, 0, func(n *note) { n.pluck.Attack = tab.Harmonic }, false},
		{"two under a slant", 2, 0, func(n *note) { n.stroke.Placement.Kind = steel.Forward }, false},
	} {
		r := onStrings(0, slices.Repeat([]int{3}, c.open)...)
		r.s.tuned = []float64{30, 20, 4, 10, 50, 60} // string 3 is meant to be 4 cents over
		for _, n := range r.notes {
			n.cents, n.doubt = 10.5, c.doubt
			if c.change != nil {
				c.change(n)
			}
		}
		r.strings()
		got := r.tuned[2]
		if got.Told != c.told || c.told && got.Cents != 6.5 || !c.told && got.Cents != 0 {
			t.Errorf("%s: %+v", c.what, got)
		}
		if !math.IsInf(r.out.HandOff, 1) || r.out.HandMM != 0 {
			t.Errorf("%s: the hand is %g mm off, give or take %g", c.what, r.out.HandMM, r.out.HandOff)
		}
	}
	// How sure a string is that scatters: by 5.92 cents (1.48 times the middle of 6, 2, 2 and 6), half of that for four notes.
	four := onStrings(0, 3, 3, 3, 3)
	for i, c := range []float64{-6, -2, 2, 6} {
		four.notes[i].cents = c
	}
	four.strings()
	if s := four.tuned[2]; !s.Told || math.Abs(s.fitted-2.96) > 1e-9 || math.Abs(s.Doubt-math.Hypot(2.96, bodyPull)) > 1e-9 || s.String != 3 {
		t.Errorf("four notes 6 and 2 cents off either way: %+v", s)
	}
	// One string played at several frets: 1 mm towards the bridge raises by 1200/(ln 2·(L − x)) cents.
	spots := append(slices.Repeat([]spotOfOne{{1, 0}, {1, 3}, {1, 7}, {1, 12}, {1, 15}}, 2), spotOfOne{1, 0}, spotOfOne{1, 0})
	r := onSpots(spots)
	for i, n := range r.notes {
		n.cents = -4
		if f := spots[i].fret; f > 0 {
			n.cents += 2 * 1200 / math.Ln2 / (float64(r.s.tab.Rig.Scale) - float64(r.s.g.X(f)))
		}
	}
	// Each place was played twice, 1.5 cents higher and lower: noise of 2.22 (1.48 times as much) and the standard errors
	// of a straight line through ten points and two that are 30 cents off either way, which weigh 1.5·2.22/30 each (Huber).
	scatter := slices.Concat(slices.Repeat([]float64{1.5}, 5), slices.Repeat([]float64{-1.5}, 5), []float64{30, -30})
	var k1, k2 float64
	for i, n := range r.notes {
		if f := spots[i].fret; f > 0 {
			k := r.centsPerMM(f)
			k1, k2 = k1+k, k2+k*k
		}
		n.cents += scatter[i]
	}
	r.strings()
	weight := 10 + 2*1.5*2.22/30
	d := weight*k2 - k1*k1
	hand, tuning := 2.22*math.Sqrt(weight/d), 2.22*math.Sqrt(k2/d)
	if s := r.tuned[0]; !s.Told || math.Abs(s.Cents+4) > 1e-6 || math.Abs(r.out.HandMM-2) > 1e-6 || math.Abs(r.out.HandOff-hand) > 1e-6 || math.Abs(s.fitted-tuning) > 1e-6 {
		t.Errorf("4 cents flat and 2 mm towards the bridge: %+v, %g mm give or take %g; want give or take %g cents and %g mm", s, r.out.HandMM, r.out.HandOff, tuning, hand)
	}
}

// How the steel lay under a split: the nose stops two strings under its middle, so the lean goes from between them to
// the third string. Against the angle drawn by hand from the strings' places.
func TestSplitLeansFromUnderTheNose(t *testing.T) {
	grip := func(placement steel.Placement, strings []int, frets []float64) (*reviewer, []*note) {
		rg := rigtest.OpenD()
		tb := lay(rg, 60, []listentest.Spot{{Strings: strings, Frets: frets, Len: quarter}})
		tb.Strokes[0].Placement = placement
		r := &reviewer{s: newScore(tb, make([]float64, 6)), out: &Reviewed{}}
		for i := range r.s.wants {
			w := &r.s.wants[i]
			r.notes = append(r.notes, &note{want: w, found: true, hz: w.open / (1 - float64(r.s.g.X(w.pluck.Fret))/r.s.g.L)})
		}
		return r, r.notes
	}
	told := make([]StringTuning, 6)
	split := steel.Placement{Kind: steel.Split, First: 1, Last: 3, FirstFret: 5, LastFret: 4}
	r, notes := grip(split, []int{1, 2, 3}, []float64{5, 5, 4})
	s, ok := r.slant(notes, told)
	g := r.s.g
	x5, x4 := g.X(5), g.X(4)
	nose := float64(g.Y(1, x5)+g.Y(2, x5)) / 2
	want := math.Atan2(float64(x5-x4), float64(g.Y(3, x4))-nose) * 180 / math.Pi
	if !ok || !s.Sure || math.Abs(s.Degrees-want) > 1e-6 || math.Abs(s.Wanted-want) > 1e-6 || math.Abs(s.SteelMM) > 1e-6 {
		t.Errorf("a split from fret 5 to 4: %+v, %v; want %.3f degrees", s, ok, want)
	}
	notes[1].doubt = 3
	if s, ok := r.slant(notes, told); !ok || s.Sure {
		t.Errorf("with a string give or take 3 cents: %+v, %v", s, ok)
	}
	notes[1].doubt = 2.5
	if s, ok := r.slant(notes, told); !ok || !s.Sure {
		t.Errorf("give or take 2.5 cents: %+v, %v", s, ok)
	}
	// The same strings with the nose alone, or with one string stopped, tell no lean.
	for _, c := range []struct {
		what   string
		change func()
	}{
		{"one string found", func() { notes[0].found, notes[1].found = false, false }},
		{"the nose and no other string", func() { notes[0].found, notes[1].found, notes[2].found = true, true, false }},
		{"under the nose alone", func() { notes[0].stroke.Placement.Kind = steel.Nose }},
		{"with the steel lifted", func() { notes[0].stroke.Placement.Kind = steel.Lifted }},
	} {
		c.change()
		if s, ok := r.slant(notes, told); ok {
			t.Errorf("%s: %+v", c.what, s)
		}
	}
}

// How a straight grip of two strings lay: 2 mm towards the bridge, and the doubt of that from the doubt of each string,
// by the rules for a straight line through two points.
func TestGripOfTwoStrings(t *testing.T) {
	rg := rigtest.OpenD()
	spot := func(first int) listentest.Spot {
		return listentest.Spot{Strings: []int{first, first + 1}, Frets: []float64{5, 5}, Len: quarter}
	}
	r := &reviewer{s: newScore(lay(rg, 60, []listentest.Spot{spot(1), spot(2)}), make([]float64, 6)), out: &Reviewed{}}
	g := r.s.g
	x := float64(g.X(5))
	for i := range r.s.wants {
		w := &r.s.wants[i]
		off := map[int]float64{1: 6, 2: -4, 3: 9}[w.pluck.String] // cents that the strings are out of tune
		r.notes = append(r.notes, &note{want: w, found: true, doubt: 1, hz: w.open * factor(off) / (1 - (x+2)/g.L)})
	}
	r.tuned = []StringTuning{{String: 1, Cents: 6, fitted: 2, Told: true}, {String: 2, Cents: -4, fitted: 2, Told: true}, {String: 3, Cents: 9, fitted: 2, Told: true}}
	each := math.Sqrt(5) // cents, of 1 and 2 together
	r.right = func(at tune.Ticks, str int) bool { return at > 0 && str == 3 }
	r.slants()
	if len(r.out.Slants) != 2 {
		t.Fatalf("two grips: %+v", r.out.Slants)
	}
	k := r.centsPerMM(5) // a millimetre there
	if want := 1200 / math.Ln2 / (g.L - x); math.Abs(k-want) > 1e-9 {
		t.Errorf("at fret 5 a millimetre is %g cents, want %g", k, want)
	}
	for i, s := range r.out.Slants {
		apart := float64(g.Y(i+2, g.X(5)) - g.Y(i+1, g.X(5)))
		lean, place := math.Sqrt2*each/k/apart*180/math.Pi, math.Hypot(each/k/math.Sqrt2, bodyPull/k)
		if math.Abs(s.Degrees) > 1e-6 || math.Abs(s.Wanted) > 1e-6 || math.Abs(s.SteelMM-2) > 1e-9 || math.Abs(s.PlusMinus-lean) > 1e-9 || math.Abs(s.MMDoubt-place) > 1e-9 {
			t.Errorf("grip %d: %+v; want 2 mm give or take %g, leaning by 0 give or take %g degrees", i, s, place, lean)
		}
		if !slices.Equal(s.Strings, []int{i + 1, i + 2}) || s.Right != (i == 1) || s.BarNumber != 1 || s.At != tune.Ticks(i)*quarter {
			t.Errorf("grip %d: %+v", i, s)
		}
	}
	// The surer string weighs more: twice as sure (√20 and √5), four to one.
	r.notes[0].doubt, r.notes[1].hz = 4, r.notes[1].hz*(1-(x+2)/g.L)/(1-x/g.L)
	if s, ok := r.slant(r.notes[:2], r.offsTold()); !ok || math.Abs(s.SteelMM-0.4) > 1e-9 || s.Sure {
		t.Errorf("one string 2 mm off, give or take four cents, and one where it should be, one cent: %+v", s)
	}
}

// The way through the tab: where each pluck was heard, and whether the take goes on there from the one before. How late
// each note is stands with its pluck alone.
func TestWayThroughTheTab(t *testing.T) {
	r := onStrings(5, 1, 2, 3, 1)
	r.right = func(_ tune.Ticks, str int) bool { return str == 3 }
	r.s.tuned = []float64{5, 6, 7, 8, 9, 10}
	r.time.anchors = []anchor{{group: 1, at: 1, late: 0.5}, {group: 0, at: 2, stretch: 1, late: 0.25}, {group: 3, at: 3, stretch: 1, late: 0.75}}
	r.time.before, r.a.onset = []int{1, 0, 0, 2}, []int{1, 0, -1, 2}
	r.notes[0].found, r.notes[0].single = false, false // and lasts: missed
	r.path()
	want := []Place{{Seconds: 1, PassIndex: 1, At: quarter}, {Seconds: 2}, {Seconds: 3, PassIndex: 3, At: 3 * quarter, Joined: true}}
	if !slices.Equal(r.out.Path, want) {
		t.Errorf("%+v, want %+v", r.out.Path, want)
	}
	r.tuned = []StringTuning{{String: 2, Told: true, fitted: 3}}
	r.notes[1].doubt = 4
	chord, err := pitch.ParseChord("F#")
	if err != nil {
		t.Fatal(err)
	}
	r.s.tab.Tune.Bars[1].Chords = []tune.ChordAt{{Chord: &chord}}
	r.notes[1].key, r.notes[1].cents = 70, -13 // its third
	r.notes[3].pluck.Attack = tab.Harmonic
	r.writeNotes()
	for i, late := range []float64{math.NaN(), 0.5, math.NaN(), 0.75} {
		n := r.out.Notes[i]
		if n.Late != late && !(math.IsNaN(n.Late) && math.IsNaN(late)) || n.Right != (n.String == 3) || n.Meant != r.s.tuned[n.String-1] || n.BarNumber != i+1 {
			t.Errorf("note %d: %+v, want it %g late", i+1, n, late)
		}
	}
	second := r.out.Notes[1]
	if mm := 5 / r.centsPerMM(5); !(math.Abs(second.MMDoubt-mm) <= 1e-9 && math.Abs(second.CentsJust-0.686) <= 0.001 && math.Abs(second.Doubt-math.Hypot(4, bodyPull)) <= 1e-9) {
		t.Errorf("a third 13 cents flat, give or take 4, its string by 3: %+v, want the place give or take %g mm", second, mm)
	}
	if mm := r.out.Notes[3].SteelMM; !math.IsNaN(mm) {
		t.Errorf("a harmonic tells the steel %g mm off", mm)
	}
	// What is carried is not late, whatever is plucked with it.
	r.notes[3].want.begun, r.out.Notes = false, nil
	r.writeNotes()
	if late := r.out.Notes[3].Late; !math.IsNaN(late) {
		t.Errorf("a note that is glided into is %g late", late)
	}
}

// When a take is none of the tab: each bound met exactly and just missed.
func TestFitFromWhereOn(t *testing.T) {
	strong, weak := pluckHeard{Onset: Onset{Strength: 0.5}}, pluckHeard{Onset: Onset{Strength: 0.4}}
	for _, c := range []struct {
		what                  string
		agree                 float64
		used, other, faint    int // plucks of the tab's, others, and weak others
		played, missed, jumps int // groups
		want                  bool
	}{
		{"all of it", 1, 4, 0, 0, 4, 0, 0, true},
		{"agreeing by 0.6", leastAgree, 4, 0, 0, 4, 0, 0, true},
		{"by less", 0.59375, 4, 0, 0, 4, 0, 0, false},
		{"half of the plucks are others", 1, 4, 4, 0, 4, 0, 0, true},
		{"more", 1, 4, 5, 0, 4, 0, 0, false},
		{"many weak ones", 1, 4, 0, 9, 4, 0, 0, true},
		{"half of it played", 1, 4, 0, 0, 4, 4, 0, true},
		{"less", 1, 4, 0, 0, 4, 5, 0, false},
		{"a jump in four plucks", 1, 4, 0, 0, 4, 0, 1, true},
		{"two in seven", 1, 7, 0, 0, 7, 0, 2, false},
	} {
		r := &reviewer{s: &score{}}
		a := &aligned{agree: c.agree, jumps: c.jumps}
		for i := range c.used + c.other + c.faint {
			h := strong
			if i >= c.used+c.other {
				h = weak
			}
			r.heard, a.used = append(r.heard, h), append(a.used, i < c.used)
		}
		for i := range c.played + c.missed + 2 {
			// Nobody waits for what is carried, nor for where the take doesn't go.
			reach, begun := i != c.played+c.missed, i != c.played+c.missed+1
			r.s.groups = append(r.s.groups, group{begun: begun})
			a.reach = append(a.reach, reach)
			a.onset = append(a.onset, map[bool]int{true: i, false: -1}[i < c.played])
		}
		if got, agree := r.fit(a); got != c.want || agree != c.agree {
			t.Errorf("%s: %v, agreeing by %g", c.what, got, agree)
		}
	}
}

// Where fewer than four in ten of the notes long enough have a clear pitch, the take is none of the tab; of three or
// less nobody can say.
func TestUnclearFromWhereOn(t *testing.T) {
	long := func(n int, change func(*note)) []*note {
		var out []*note
		for range n {
			v := &note{found: true, partials: 2, until: 1}
			if change != nil {
				change(v)
			}
			out = append(out, v)
		}
		return out
	}
	nothing := func(n *note) { n.found = false }
	for _, c := range []struct {
		what  string
		notes []*note
		clear bool
	}{
		{"two of five", append(long(2, nil), long(3, nothing)...), true},
		{"one of four", append(long(1, nil), long(3, nothing)...), false},
		{"none of three", long(3, nothing), true},
		{"none of four", long(4, nothing), false},
		{"three, and one of less than 0.12 s", append(long(3, nothing), &note{until: 0.109375}), true},
		{"three, and one of 0.12 s", append(long(3, nothing), &note{until: 0.12}), false},
		{"give or take 3.5 cents", long(4, func(n *note) { n.doubt = 3.5 }), true},
		{"give or take 4", long(4, func(n *note) { n.doubt = 4 }), false},
		{"wandering by 19.5 cents", long(4, func(n *note) { n.spread = 19.5 }), true},
		{"by 20", long(4, func(n *note) { n.spread = 20 }), false},
		{"who knows by how much", long(4, func(n *note) { n.spread = -1 }), false},
		{"one partial each", long(4, func(n *note) { n.partials = 1 }), false},
	} {
		r := &reviewer{notes: c.notes, take: &Take{rate: 10000, inRate: 10000}}
		if got := r.unclear(); (got == "") != c.clear || got != "" && got != noTab {
			t.Errorf("%s: %q", c.what, got)
		}
	}
}

// A string holds its pitch: where it was 50 ms before, within 15 cents, in six of ten voiced moments; a tenth of the
// take is voiced.
func TestStringsHoldTheirPitch(t *testing.T) {
	frames := func(voiced, moved, silent int) []Frame {
		out := make([]Frame, 10) // the first 50 ms have nothing before them
		for i := range out {
			out[i] = Frame{Voiced: true, Hz: 440}
		}
		for i := range voiced {
			f := Frame{Voiced: true, Hz: 440}
			if i < moved {
				f.Hz = pitch.Hz(440 * factor(20*float64(i+1)))
			}
			out = append(out, f)
		}
		return append(out, make([]Frame, silent)...)
	}
	for _, c := range []struct {
		what                  string
		voiced, moved, silent int
		want                  bool
	}{
		{"still", 10, 0, 0, true}, {"four of ten moved", 10, 4, 0, true}, {"five of ten", 10, 5, 0, false},
		{"a tenth is voiced", 10, 0, 80, true}, {"less", 10, 0, 81, false}, {"half of it", 20, 0, 20, true},
	} {
		if got := holdTheirPitch(frames(c.voiced, c.moved, c.silent)); got != c.want {
			t.Errorf("%s: %v", c.what, got)
		}
	}
	// A tone after silence is where it was only when that was a tone too.
	var late []Frame
	for i := range 30 {
		late = append(late, Frame{Voiced: i >= 10, Hz: 440})
	}
	if !holdTheirPitch(late) || !holdTheirPitch(nil) {
		t.Error("a tone that sets in is no string's")
	}
	for i := range late {
		late[i].Hz = pitch.Hz(440 * factor(20*float64(i)))
	}
	if holdTheirPitch(late) {
		t.Error("what glides all the time is a string's")
	}
}

// A take is judged from half a second on, and when no more than four samples in ten thousand are cut off.
func TestUnfitAtTheBounds(t *testing.T) {
	tone := func(n int) *Take {
		v := &Take{rate: 10000, inRate: 10000, n: n, peak: 0.5}
		for i := range n {
			v.x = append(v.x, 0.5*math.Sin(float64(i)/5))
		}
		return v
	}
	for _, c := range []struct {
		what       string
		n, clipped int
		want       string
	}{
		{"half a second", 5000, 0, ""}, {"less", 4999, 0, "shorter than half a second"}, {"nothing", 0, 0, "shorter than half a second"},
		{"4 of 10,000 cut off", 10000, 4, ""}, {"5", 10000, 5, "overdriven"},
	} {
		take := tone(c.n)
		take.clipped = c.clipped
		if got := take.Unfit(); (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%s: %q", c.what, got)
		}
	}
}

// From eight plucks on, eight in ten of them where a steady hand has them, a take is in the tab's time whatever it sounds.
func TestInTimeFromEightPlucksOn(t *testing.T) {
	for _, c := range []struct {
		what    string
		n, late int // plucks, and those of them 62 ms late
		want    bool
	}{
		{"eight", 8, 0, true}, {"seven", 7, 0, false}, {"two of ten late", 10, 2, true}, {"three of ten", 10, 3, false},
	} {
		r := onStrings(5, slices.Repeat([]int{1}, c.n)...)
		for i := range c.n {
			at := 1 + float64(i)
			if i%3 == 1 && i/3 < c.late {
				at += 0.0625
			}
			r.heard = append(r.heard, pluckHeard{Onset: Onset{At: at, Strength: 1}})
		}
		if got := r.inTime(); got != c.want {
			t.Errorf("%s: %v", c.what, got)
		}
	}
}
