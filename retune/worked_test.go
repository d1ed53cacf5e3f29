package retune

import (
	"math"
	"strings"
	"testing"

	figures "lapwright/internal/near"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// strungAs returns a rig with its strings at other pitches, low to high, and without
// a name for the tuning.
func strungAs(t *testing.T, name, pitches string) *rig.Rig {
	t.Helper()
	r := rigtest.Builtin(t, name)
	r.Tuning = ""
	for i, n := range tuning(t, pitches) {
		r.Strings[i].Open = n
	}
	return r
}

// TestWhatIsRelearned: what a player of one instrument is told of another (intervals of
// the tunings by hand).
func TestWhatIsRelearned(t *testing.T) {
	c6 := rigtest.Builtin(t, "lap6-c6")
	for name, c := range map[string]struct {
		a, b *rig.Rig
		want []string
		not  []string
	}{
		"a fourth higher": {c6, strungAs(t, "lap6-c6", "F3 A3 C4 D4 F4 A4"), []string{"what is played on strings 1-6 lies on the same strings, where it sounds 5 semitones higher"}, []string{"new"}},
		"a tone lower":    {c6, strungAs(t, "lap6-c6", "Bb2 D3 F3 G3 Bb3 D4"), []string{"what is played on strings 1-6 lies on the same strings, where it sounds 2 semitones lower"}, []string{"new"}},
		// Only the three upper strings keep their fourth and minor third.
		"three strings kept": {c6, strungAs(t, "lap6-c6", "C2 C#2 D2 A3 C4 E4"), []string{"strings 4-6 are new: no shared shape uses them"}, []string{"every string"}},
		// No three strings of C6 lie tritones apart.
		"nothing kept":    {c6, strungAs(t, "lap6-c6", "C2 F#2 C3 F#3 C4 F#4"), []string{"no shape of three strings carries over", "every string is new"}, []string{"are new"}},
		"a chord unknown": {strungAs(t, "lap6-c6", "C2 C#2 D2 D#2 E2 F2"), c6, nil, []string{"the tones of the open chord"}},
		"no chord left":   {c6, strungAs(t, "lap6-c6", "C2 C#2 D2 D#2 E2 F2"), nil, []string{"the tones of the open chord"}},
		"benders won":     {rigtest.Builtin(t, "tricone-open-d"), rigtest.Builtin(t, "bender-open-d"), []string{"benders are new: "}, []string{"there are no benders"}},
		"benders kept":    {rigtest.Builtin(t, "bender-open-d"), rigtest.Builtin(t, "bender-open-d"), nil, []string{"benders"}},
	} {
		said := strings.Join(Compare(c.a, c.b).Relearn, "\n")
		for _, w := range c.want {
			if !strings.Contains(said, w) {
				t.Errorf("%s: it does not say %q:\n%s", name, w, said)
			}
		}
		for _, w := range c.not {
			if strings.Contains(said, w) {
				t.Errorf("%s: it says %q:\n%s", name, w, said)
			}
		}
	}
}

// TestRunsOfUnisons: three strings at one pitch on each instrument are one shape, at
// the only distance there is.
func TestRunsOfUnisons(t *testing.T) {
	unison := func(n pitch.Name) *rig.Rig { return &rig.Rig{Strings: []rig.String{{Open: n}, {Open: n}, {Open: n}}} }
	got := Runs(unison(pitch.Note(pitch.D, 0, 3)), unison(pitch.Note(pitch.G, 0, 3)))
	if len(got) != 1 || got[0].Up != 5 || Numbers(got[0].A) != "1-3" || Numbers(got[0].B) != "1-3" {
		t.Errorf("got %v; want strings 1-3 five semitones up", got)
	}
}

// TestChordOfSixTones: a thirteenth with its ninth has six tones (common practice).
func TestChordOfSixTones(t *testing.T) {
	for _, c := range OpenChords(strungAs(t, "lap6-c6", "C3 E3 Bb3 D4 A4 G4")) {
		if c.Chord.String() == "C13" {
			if Numbers(c.Strings) != "1-6" {
				t.Errorf("C13 on strings %s", Numbers(c.Strings))
			}
			return
		}
	}
	t.Error("C13 is not among the chords")
}

// TestPassesOverTheStrings: a body that takes a fifth of the change out of the other
// strings leaves them 600·log2(1 + 0.2·100/1000) = 17.1 cents off after the first
// pass, 3.5 after the second and 0.7 after the third; one that takes a twentieth 4.3
// and 0.2. Half of what is just heard, 5 cents, ends it.
func TestPassesOverTheStrings(t *testing.T) {
	moved := func(by wire.Newtons) Move {
		return Move{Before: rig.StringLoad{Pull: 100}, After: rig.StringLoad{Pull: 100 + by}}
	}
	for _, c := range []struct {
		body rig.Body
		want int
	}{{rig.HollowNeckAcoustic, 3}, {rig.LapSteel, 2}} {
		p := &Plan{To: &rig.Rig{Body: c.body}, End: 1000, Steps: make([]Step, 2), Moves: []Move{moved(60), moved(-40)}}
		if p.passes(); p.Passes != c.want {
			t.Errorf("a %s takes %d passes; want %d", c.body, p.Passes, c.want)
		}
	}
}

// TestStringsThatStay: a string whose pitch stays is only changed when a new concert
// pitch makes it worse than it was.
func TestStringsThatStay(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	slack := r.Strings[5].Wire
	same := []pitch.Name{}
	for _, s := range r.Strings {
		same = append(same, s.Open)
	}
	// The gauge at which the lowest string pulls 52 N at 440 Hz: at 415 it pulls
	// 52·(415/440)² = 46.3 N at most, under the 50 N below which a string is slack.
	for slack.Tension(r.Scale, r.Strings[5].Open.Hz(440)) > 52 {
		slack = wire.Wound(slack.Diameter-0.005, wire.NickelPlated)
	}
	r.Strings[5].Wire = slack
	p, err := NewPlan(r, same, "", 415)
	if err != nil {
		t.Fatal(err)
	}
	figures.To(t, "the pull of the slackened string", float64(p.Moves[5].After.Pull), float64(p.Moves[5].Before.Pull)*(415.0/440)*(415.0/440), 1e-6)
	for i, m := range p.Moves {
		if (m.Instead != nil) != (i == 5) {
			t.Errorf("string %d, %.0f N: %q, change for %v", i+1, float64(m.After.Pull), m.Why, m.Instead)
		}
	}
	// Slack before and after, it stays as it is; moved, it gets one that is not slack.
	r.Reference = 415
	if p, err = NewPlan(r, same, "", 0); err != nil || p.Moves[5].Instead != nil {
		t.Errorf("a slack string that stays: change for %v, %v", p.Moves[5].Instead, err)
	}
	same[5] = pitch.SpellKey(same[5].Key()-1, 0)
	if p, err = NewPlan(r, same, "", 0); err != nil || p.Moves[5].Instead == nil {
		t.Fatalf("a slack string that is slackened: %v", err)
	}
	if pull := p.Moves[5].Instead.Tension(r.Scale, same[5].Hz(415)); pull < rig.Slackest {
		t.Errorf("the string in its place pulls %.1f N", float64(pull))
	}
}

// TestMuchTighter: five semitones up a string pulls 2^(10/12) = 1.78 times what it did;
// three semitones are 2^(6/12) = 1.41 times and no reason to change it.
func TestMuchTighter(t *testing.T) {
	for up, want := range map[int]string{5: "it would pull 78 % more than now", 3: ""} {
		m := Move{String: 1, Semitones: up, To: pitch.SpellKey(57+up, 0),
			Before: rig.StringLoad{Pull: 80, Finding: rig.Fine},
			After:  rig.StringLoad{Pull: 80 * wire.Newtons(math.Exp2(float64(up)/6)), BentKey: 57 + up, Finding: rig.Fine}}
		m.change(rigtest.Builtin(t, "lap6-c6"))
		if m.Why != want || (m.Instead != nil) != (want != "") {
			t.Errorf("up %d semitones: %q, change for %v; want %q", up, m.Why, m.Instead, want)
		}
	}
}

// TestBeatsOfPairs: partials meet at the ratio of the just interval, or where that is
// none that is simple at one near the equal interval: a tritone of 45/32 beats as 7/5,
// and a quarter tone as nothing.
func TestBeatsOfPairs(t *testing.T) {
	for name, c := range map[string]struct {
		high         Target
		upper, lower int
		equal        float64
	}{
		"fifth":        {Target{Equal: 149.83, Just: 150}, 2, 3, 0.34},
		"unison":       {Target{Equal: 100.5, Just: 100}, 1, 1, 0.5},
		"tritone":      {Target{Equal: 141.42, Just: 140.625}, 5, 7, 7.1},
		"quarter tone": {Target{Equal: 102.93, Just: 102.93}, 0, 0, 0},
	} {
		low := Target{String: 2, Equal: 100, Just: 100}
		c.high.String = 1
		got := beat(c.high, low)
		if got.String != 1 || got.Upper != c.upper || got.Lower != c.lower {
			t.Errorf("%s: partials %d and %d of string %d; want %d and %d", name, got.Upper, got.Lower, got.String, c.upper, c.lower)
		}
		figures.To(t, name, got.Equal, c.equal, 0.01)
		// The other way round the partials change places.
		low.String, c.high.String = 1, 2
		if got = beat(low, c.high); got.Upper != c.lower || got.Lower != c.upper {
			t.Errorf("%s, the lower string first: partials %d and %d", name, got.Upper, got.Lower)
		}
	}
}

// TestLighterOfEqualSets: of sets that depart equally the lighter is better.
func TestLighterOfEqualSets(t *testing.T) {
	set := func(pulls ...wire.Newtons) (out []choice) {
		for _, p := range pulls {
			out = append(out, choice{off: 0.1, pulls: []wire.Newtons{p}})
		}
		return out
	}
	if light, heavy := set(100, 90), set(95, 110); compareSets(light, heavy) >= 0 || compareSets(heavy, light) <= 0 || compareSets(light, light) != 0 {
		t.Error("190 N is not lighter than 205 N")
	}
}

// TestJudgedByWhoseLimit: a set is judged by the usual limit of its kind of body or by
// the limit that was given, and not at all when the body is not known.
func TestJudgedByWhoseLimit(t *testing.T) {
	w := wish(t, "high-open-g")
	d, err := NewDesign(w)
	if err != nil {
		t.Fatal(err)
	}
	total := d.Best.Totals[0]
	for _, c := range []struct {
		body  rig.Body
		limit wire.Newtons
		want  rig.Finding
		words string
	}{
		{"", total, "", ""},
		{rig.LapSteel, 2 * total, rig.Fine, ""},
		{rig.LapSteel, total * 0.9, rig.DoNot, "the limit given for it"},
		{rig.HollowNeckAcoustic, rig.UsualLimit(rig.HollowNeckAcoustic), rig.Caution, "the limit for a hollow-neck acoustic (common practice, no source)"},
	} {
		w.Body, w.Limit = c.body, c.limit
		got, why := d.Judge(w)
		if got != c.want || !strings.Contains(why, c.words) || (why == "") != (c.words == "") {
			t.Errorf("%q with a limit of %.0f N for %.0f N: %s, %q; want %s, %q", c.body, float64(c.limit), float64(total), got, why, c.want, c.words)
		}
	}
}

// TestTuningsAtTheBounds: as many strings as a rig may have, from the lowest pitch to
// the highest that one may.
func TestTuningsAtTheBounds(t *testing.T) {
	for _, text := range []string{strings.Repeat("D2 ", 16), "C1", "C7", "C1 C7"} {
		if _, err := ParseTuning(text); err != nil {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// TestBrokenCatalogues: what the catalogue may not hold is told, never passed over.
func TestBrokenCatalogues(t *testing.T) {
	const good = "[[tuning]]\nname = \"d\"\npitches = \"D3 A3\"\ngauges = \"18 14\"\nstyles = [\"blues\"]\n"
	if got, err := readCatalogue([]byte(good)); err != nil || len(got) != 1 || got[0].Text() != "D3 A3" {
		t.Fatalf("%v, %v", got, err)
	}
	for src, say := range map[string]string{
		"":                           "something else",
		"title = \"x\"\n" + good:     "something else",
		"tuning = \"x\"\n":           "something else",
		good + "colour = \"red\"\n":  `"colour" is no key`,
		good + "title = 3\n":         `"title" is no key`,
		good + "strings = [\"D\"]\n": `"strings" is no key`,
		strings.Replace(good, `["blues"]`, "7", 1): `"styles" is no key`,
		strings.Replace(good, "18 14", "18", 1):    "1 gauges for 2 strings",
		strings.Replace(good, "18 14", "x", 1):     "is no gauge",
		strings.Replace(good, "A3", "H3", 1):       "not a note name",
	} {
		if got, err := readCatalogue([]byte(src)); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%q: %v, %v; want %q", src, got, err, say)
		}
	}
}
