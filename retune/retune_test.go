package retune

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

func tuning(t testing.TB, text string) []pitch.Name {
	t.Helper()
	if known, ok := FindTuning(text); ok {
		return slices.Clone(known.Pitches) // tests change what they are given
	}
	p, err := ParseTuning(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The catalogue reads, names are unique, every entry says where it is from and
// its usual strings carry it on a usual scale.
func TestCatalogue(t *testing.T) {
	all := Catalogue()
	if len(all) < 40 {
		t.Fatalf("%d tunings, want 40 or more", len(all))
	}
	names, pitches := map[string]bool{}, map[string]string{}
	families := map[string]int{}
	for _, k := range all {
		if names[k.Name] {
			t.Errorf("%s is there twice", k.Name)
		}
		names[k.Name] = true
		if other := pitches[k.Text()]; other != "" {
			t.Errorf("%s and %s are the same tuning", k.Name, other)
		}
		pitches[k.Text()] = k.Name
		families[k.Family]++
		if k.Source == "" || k.Title == "" || len(k.Styles) == 0 {
			t.Errorf("%s lacks a title, a style or a source", k.Name)
		}
		r := rigtest.Builtin(t, "lap6-c6").Clone()
		r.Strings = nil
		for i := range k.Pitches {
			r.Strings = append(r.Strings, rig.String{Open: k.Pitches[i], Wire: k.Gauges[i]})
		}
		if l := r.Check(); len(l) > 0 {
			t.Errorf("%s: %v", k.Name, l)
		} else if load := r.Load(); load.Finding == rig.DoNot {
			t.Errorf("%s: its usual gauges do not carry it at 22.5 in: %v", k.Name, load.Reasons)
		}
	}
	for _, f := range []string{"major", "minor", "suspended", "seventh", "sixth", "ninth", "thirteenth"} {
		if families[f] < 2 {
			t.Errorf("only %d tunings of the family %s", families[f], f)
		}
	}
	for _, r := range rig.Builtins() {
		if pitches[r.TuningText()] == "" {
			t.Errorf("the tuning of the built-in rig %s is not among the known ones", r.Name)
		}
	}
}

func TestParseTuning(t *testing.T) {
	p := tuning(t, "D2 A2 D3 F#3 A3 D4")
	if p[0].String() != "D4" || p[5].String() != "D2" || TuningText(p) != "D2 A2 D3 F#3 A3 D4" {
		t.Errorf("got %v", p)
	}
	for text, say := range map[string]string{
		"":                          "is no tuning",
		"D2 H2":                     `"H2" is not a note name`,
		"D2 A":                      "octave",
		"D2 A9":                     `"A9" is outside C1 to C7`,
		strings.Repeat("D2 ", 17):   "17 strings",
		"D2 A2 D3 F#3 A3 D4 what?!": "not a note name",
	} {
		if _, err := ParseTuning(text); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%q: got %v, want it to say %q", text, err, say)
		}
	}
	for _, text := range []string{"x", "42x", "w", "-16", "400", "60"} {
		if g, err := ParseGauges(text); err == nil {
			t.Errorf("gauges %q were read as %v", text, g)
		}
	}
}

// A6 strings reach C6 with moves of one semitone or none (common practice, no
// source: DESIGN names the six pitches).
func TestSixthsAreNeighbours(t *testing.T) {
	p, err := NewPlan(rigtest.Builtin(t, "lap8-a6"), tuning(t, "c6"), "C6", 0)
	if err != nil {
		t.Fatal(err)
	}
	var got []int
	for _, m := range p.Moves {
		got = append(got, m.Semitones)
	}
	if !slices.Equal(got, []int{0, -1, 0, 1, 0, -1, 0, 0}) || p.Kept != 2 {
		t.Errorf("moves %v with %d kept", got, p.Kept)
	}
	if p.Finding != rig.Fine || p.Passes != 1 || len(p.Steps) != 3 || p.Steps[2].String != 4 {
		t.Errorf("finding %s, passes %d, steps %v: want the two that slacken first and then string 4", p.Finding, p.Passes, p.Steps)
	}
}

// A hollow-neck acoustic carries open D and must not carry high open G, on its
// own strings or on the usual ones of a resonator (common practice, no source).
func TestHollowNeck(t *testing.T) {
	h := rigtest.Builtin(t, "hollow-neck-open-d")
	if l := h.Load(); l.Finding != rig.Fine {
		t.Errorf("in open D: %s, %v", l.Finding, l.Reasons)
	}
	p, err := NewPlan(h, tuning(t, "high-open-g"), "", 0)
	if err != nil {
		t.Fatal(err)
	}
	if p.Finding != rig.DoNot || len(p.Reasons) == 0 || !strings.Contains(p.Reasons[0], "hollow-neck acoustic") {
		t.Errorf("in high open G: %s, %v", p.Finding, p.Reasons)
	}
	g := rigtest.Builtin(t, "reso-open-g")
	heavy := h.Clone()
	heavy.Strings = g.Strings
	if l := heavy.Load(); l.Finding == rig.Fine || len(l.Reasons) == 0 {
		t.Errorf("with a resonator's strings: %s, %v", l.Finding, l.Reasons)
	}
	if l := g.Load(); l.Finding != rig.Fine {
		t.Errorf("a square-neck resonator with its usual strings: %s, %v", l.Finding, l.Reasons)
	}
}

// A string that a bender raises is judged at its bent pitch.
func TestBentStringsAreJudgedBent(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	r.Strings[0].Open = tuning(t, "G4")[0] // the .014 at G4 is near its limit
	plain := r.Load().Strings[0]
	r.Benders = []rig.Bender{{Name: "palm", Mark: "A", Kind: rig.Palm, Moves: []rig.Move{{String: 1, Semitones: 2}}}}
	bent := r.Load().Strings[0]
	if bent.BentKey != 69 || math.Abs(float64(bent.BentPull/bent.Pull)-math.Exp2(2.0/6)) > 1e-9 || bent.Pull != plain.Pull {
		t.Errorf("bent to key %d at %g N from %g N", bent.BentKey, bent.BentPull, bent.Pull)
	}
	if plain.Finding == bent.Finding && slices.Equal(plain.Reasons, bent.Reasons) {
		t.Errorf("the bender changes nothing: %s, %v", bent.Finding, bent.Reasons)
	}
	if !strings.Contains(strings.Join(bent.Reasons, " "), "at its highest bend") {
		t.Errorf("the reason does not name the bend: %v", bent.Reasons)
	}
	e9 := rigtest.Builtin(t, "pedal10-e9").Load()
	if s := e9.Strings[2]; s.Finding != rig.Caution || s.BentShare < wire.BreakShare {
		t.Errorf("string 3 of the pedal rig: %s at %.0f %%", s.Finding, 100*s.BentShare)
	}
	if e9.Most <= e9.Total {
		t.Errorf("with pedals down it pulls %g N, at rest %g N", e9.Most, e9.Total)
	}
}

// The judgement of a load: thresholds and the file's own limit.
func TestLoadFindings(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	total := r.Load().Total
	for _, c := range []struct {
		limit wire.Newtons
		want  rig.Finding
	}{{2 * total, rig.Fine}, {total * 1.05, rig.Caution}, {total * 0.99, rig.DoNot}} {
		r.LoadLimit, r.LoadLimitSource = c.limit, "maker"
		l := r.Load()
		if l.Finding != c.want || l.LimitSource != "maker" {
			t.Errorf("a limit of %.0f N for %.0f N: %s by %s", c.limit, total, l.Finding, l.LimitSource)
		}
		if c.want != rig.Fine && !strings.Contains(strings.Join(l.Reasons, " "), "maker") {
			t.Errorf("the reason does not name the maker: %v", l.Reasons)
		}
	}
	// A lightly built body is judged at the upper end of the uncertainty.
	for _, body := range []rig.Body{rig.LapSteel, rig.HollowNeckAcoustic} {
		r.Body, r.LoadLimit = body, total*1.01
		if l := r.Load(); (l.Finding == rig.DoNot) != (body == rig.HollowNeckAcoustic) || l.Spread < 0.015 {
			t.Errorf("%s at 99 %% of its limit, give or take %.1f: %s", body, 100*l.Spread, l.Finding)
		}
	}
	slack := rigtest.Builtin(t, "lap6-c6")
	slack.Strings[5].Open = tuning(t, "C2")[0]
	if l := slack.Load(); l.Strings[5].Finding != rig.Caution || !strings.Contains(l.Reasons[0], "string 6: it pulls only") {
		t.Errorf("a slack string: %s, %v", l.Strings[5].Finding, l.Reasons)
	}
	tight := rigtest.Builtin(t, "lap6-c6")
	tight.Strings[0].Open = tuning(t, "C5")[0]
	if l := tight.Load(); l.Strings[0].Finding != rig.DoNot {
		t.Errorf("a string at %.0f %% of its breaking load: %s", 100*l.Strings[0].Share, l.Strings[0].Finding)
	}
}

// A string that must be changed gets one that suits, and one that need not none.
func TestStringsToChange(t *testing.T) {
	p, err := NewPlan(rigtest.Builtin(t, "lap6-c6"), tuning(t, "open-c"), "", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range p.Moves {
		slack := m.After.Pull < rig.Slackest
		if slack != (m.Instead != nil) || slack != (m.Why != "") {
			t.Errorf("string %d at %.0f N: change for %v, %q", m.String, m.After.Pull, m.Instead, m.Why)
			continue
		}
		if m.Instead == nil {
			continue
		}
		pull := m.Instead.Tension(p.To.Scale, m.To.Hz(440))
		if pull < rig.Slackest || float64(pull/m.Instead.BreakingLoad()) >= wire.CautionShare || math.Abs(math.Log(float64(pull/m.Before.Pull))) > 0.15 {
			t.Errorf("string %d: %s in its place pulls %.0f N, before %.0f N", m.String, GaugeText(*m.Instead), pull, m.Before.Pull)
		}
	}
	if _, err := NewPlan(rigtest.Builtin(t, "lap6-c6"), tuning(t, "eight-c13"), "", 0); err == nil || !strings.Contains(err.Error(), "6 strings") {
		t.Errorf("eight pitches on six strings: %v", err)
	}
	if _, err := NewPlan(rigtest.Builtin(t, "lap6-c6"), tuning(t, "c6"), "", 300); err == nil {
		t.Error("a reference pitch of 300 Hz was taken")
	}
}

// A new reference pitch moves every string by its cents: 1200·log2(432/440).
func TestReference(t *testing.T) {
	p, err := NewPlan(rigtest.Builtin(t, "lap6-c6"), tuning(t, "c6"), "", 432)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range p.Moves {
		if m.Semitones != 0 || math.Abs(float64(m.Cents)+31.77) > 0.01 {
			t.Errorf("string %d moves %d semitones and %.2f cents, want -31.77 cents", m.String, m.Semitones, m.Cents)
		}
	}
	if len(p.Steps) != 6 || p.End >= p.Start {
		t.Errorf("%d steps from %g to %g N", len(p.Steps), p.Start, p.End)
	}
}

func TestReach(t *testing.T) {
	all, err := Reach(rigtest.Builtin(t, "lap6-c6"))
	if err != nil {
		t.Fatal(err)
	}
	find := func(name string) *Reached {
		for i := range all {
			if all[i].Tuning.Name == name {
				return &all[i]
			}
		}
		t.Fatalf("%s was not tried", name)
		return nil
	}
	if e := find("a6"); e.Finding != rig.Fine || e.Up != 2 || e.Down != 1 {
		t.Errorf("A6 from C6: %s, %d up and %d down, want fine, C to C♯ twice and G to F♯", e.Finding, e.Up, e.Down)
	}
	if e := find("open-c-low"); e.Finding == rig.Fine || len(e.Reasons) == 0 {
		t.Errorf("low open C on C6 strings: %s, %v", e.Finding, e.Reasons)
	}
	if all[0].Tuning.Name != "c6" || all[0].Up+all[0].Down != 0 {
		t.Errorf("the tuning it has comes at another place: %s first", all[0].Tuning.Name)
	}
}

// Facts of the trade (common practice, no source; they stand in DESIGN).
func TestSharedShapes(t *testing.T) {
	g, d, a6, c6 := rigtest.Builtin(t, "reso-open-g"), rigtest.Builtin(t, "tricone-open-d"), rigtest.Builtin(t, "lap8-a6"), rigtest.Builtin(t, "lap6-c6")
	has := func(runs []Run, a, b []int, up int) bool {
		return slices.ContainsFunc(runs, func(r Run) bool { return slices.Equal(r.A, a) && slices.Equal(r.B, b) && r.Up == up })
	}
	contains := func(runs []Run, a, b []int) bool { // as part of a longer one
		return slices.ContainsFunc(runs, func(r Run) bool {
			for i, s := range a {
				j := slices.Index(r.A, s)
				if j < 0 || r.B[j] != b[i] {
					return false
				}
			}
			return true
		})
	}
	// High open G is two stacked triads: strings 1-3 repeat on 4-6 an octave down.
	if !has(Runs(g, g), []int{1, 2, 3}, []int{4, 5, 6}, -12) {
		t.Errorf("no repeat in high open G: %v", Runs(g, g))
	}
	// Strings 1-4 of open G have the intervals of strings 2-5 of open D.
	if !contains(Runs(g, d), []int{1, 2, 3, 4}, []int{2, 3, 4, 5}) {
		t.Errorf("open G in open D: %v", Runs(g, d))
	}
	// A rig shares all its strings with itself.
	if r := Runs(a6, a6)[0]; len(r.A) != 8 || r.Up != 0 || !r.Together {
		t.Errorf("A6 with itself: %v", r)
	}
	// C6 is strings 3-8 of A6 moved: A C♯ E F♯ A C♯ against C E G A C E.
	if !contains(Runs(c6, a6), []int{1, 2, 3, 4, 5}, []int{2, 3, 4, 5, 6}) {
		t.Errorf("C6 in A6: %v", Runs(c6, a6))
	}
	// A capo changes no interval.
	e, err := rigtest.Builtin(t, "bender-open-d").WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	if r := Runs(d, e)[0]; len(r.A) != 6 || r.Up != 2 {
		t.Errorf("open D with and without the capo: %v", r)
	}
}

// Chords under a straight steel: the sixth tunings hold a major chord and its
// relative minor; the thirteenth adds the seventh (common practice).
func TestOpenChords(t *testing.T) {
	for name, want := range map[string]map[string]string{
		"reso-open-g": {"G": "1-6"},
		"lap6-c6":     {"C": "1, 2, 4-6", "Am": "1-3, 5, 6", "C6": "1-6", "Am7": "1-6"},
		"lap8-c13":    {"C7": "1, 2, 4-8", "C13": "1-8", "Am": "1-3, 5, 6, 8"},
		"lap8-a6":     {"A": "1-3, 5-7", "F#m": "2-4, 6-8"},
		"pedal10-e9":  {"E": "3-6, 8, 10", "E9": "1, 3-10", "E7": "3-6, 8-10"},
	} {
		got := map[string]string{}
		for _, c := range OpenChords(rigtest.Builtin(t, name)) {
			got[c.Chord.String()] = Numbers(c.Strings)
		}
		for chord, on := range want {
			if got[chord] != on {
				t.Errorf("%s: %s on strings %q, want %s", name, chord, got[chord], on)
			}
		}
		if name == "reso-open-g" && len(got) != 1 {
			t.Errorf("open G has the chords %v, want G alone", got)
		}
	}
}

// Scales lie tighter under the bar in sixth tunings than in open major ones.
func TestScaleTravel(t *testing.T) {
	c := Compare(rigtest.Builtin(t, "reso-open-g"), rigtest.Builtin(t, "lap8-c13"))
	if c.A.Tight() || !c.B.Tight() || c.A.Travel <= c.B.Travel {
		t.Errorf("open G %.2f, C13 %.2f frets a step", c.A.Travel, c.B.Travel)
	}
	// One string alone: a major scale climbs its twelve frets in seven steps.
	one := rigtest.Builtin(t, "reso-open-g")
	one.Strings = one.Strings[:1]
	if got := ScaleTravel(one); math.Abs(got-12.0/7) > 1e-12 {
		t.Errorf("on one string %.3f frets a step, want 12/7", got)
	}
	none := rigtest.Builtin(t, "reso-open-g")
	none.Strings, none.Frets = none.Strings[:1], 5
	if got := ScaleTravel(none); !math.IsInf(got, 1) {
		t.Errorf("on five frets of one string %.3f", got)
	}
}

func TestCompareWords(t *testing.T) {
	c := Compare(rigtest.Builtin(t, "bender-open-d"), rigtest.Builtin(t, "lap8-c13"))
	words := strings.Join(c.Relearn, "\n")
	for _, want := range []string{"8 strings in place of 6", "there are no benders", "there is no sliding capo", "scales lie tight", "closer together"} {
		if !strings.Contains(words, want) {
			t.Errorf("it does not say %q:\n%s", want, words)
		}
	}
	if same := Compare(rigtest.Builtin(t, "lap6-c6"), rigtest.Builtin(t, "lap6-c6")); len(same.Relearn) != 1 || !strings.Contains(same.Relearn[0], "sounds the same on the same strings") {
		t.Errorf("a rig with itself: %v", same.Relearn)
	}
	far := rigtest.Builtin(t, "lap6-c6")
	far.Strings = far.Strings[:1]
	if words := Compare(far, rigtest.Builtin(t, "lap6-c6")).Relearn; !strings.Contains(words[0], "no shape") {
		t.Errorf("one string: %v", words)
	}
	if got := Numbers([]int{1, 2, 3, 5, 6, 8}); got != "1-3, 5, 6, 8" {
		t.Errorf("numbers %q", got)
	}
}

// The thirds of the open chord move to 5/4, the fifths to 3/2, and then
// neighbours do not beat.
func TestTuned(t *testing.T) {
	g := rigtest.Builtin(t, "reso-open-g")
	c, err := OpenChordOf(g)
	if err != nil || c.String() != "G" {
		t.Fatalf("open chord %v, %v", c, err)
	}
	for _, share := range []float64{0, 0.3, 1} {
		tuned, err := NewTuned(g, c, 440, share, pitch.FiveLimit)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range tuned.Targets {
			off := map[string]float64{"R": 0, "3": -13.686, "5": 1.955}[x.Tone]
			if math.Abs(float64(x.JustOff)-off) > 0.001 || math.Abs(float64(x.BlendOff)-share*off) > 0.001 {
				t.Errorf("string %d (%s): %.3f cents just and %.3f between at %g", x.String, x.Tone, x.JustOff, x.BlendOff, share)
			}
			if math.Abs(float64(pitch.Between(x.Equal, x.Blend)-x.BlendOff)) > 1e-9 {
				t.Errorf("string %d: %g Hz is not %.3f cents from %g", x.String, x.Blend, x.BlendOff, x.Equal)
			}
		}
		for _, b := range tuned.Beats {
			if b.Upper == 0 || b.Just > 1e-6 || b.Equal <= 0 {
				t.Errorf("strings %d and %d: partials %d and %d beat %g just, %g equal", b.String, b.String+1, b.Upper, b.Lower, b.Just, b.Equal)
			}
			if math.Abs(b.Blend-(1-share)*b.Equal) > 0.05*b.Equal {
				t.Errorf("strings %d and %d beat %g at %g of the way, %g equal", b.String, b.String+1, b.Blend, share, b.Equal)
			}
		}
	}
	// By hand: B3 and G3 equal are 246.942 and 195.998 Hz; 4·246.942 − 5·195.998
	// = 7.78 beats.
	tuned, _ := NewTuned(g, c, 440, 0.5, pitch.FiveLimit)
	if b := tuned.Beats[1]; b.Upper != 4 || b.Lower != 5 || math.Abs(b.Equal-7.78) > 0.005 {
		t.Errorf("the third beats %+v", b)
	}
	if low := tuned.Low(Just); len(low) != 6 || math.Abs(float64(low[0])-97.999) > 0.001 || math.Abs(float64(low[5])-293.997) > 0.001 {
		t.Errorf("low to high %v", low)
	}
	sixth := rigtest.Builtin(t, "lap6-c6")
	c6, _ := OpenChordOf(sixth)
	if c6.String() != "C6" {
		t.Errorf("the open chord of C6 is %s", c6)
	}
	e9, err := OpenChordOf(rigtest.Builtin(t, "pedal10-e9"))
	if err != nil || e9.String() != "E9" {
		t.Errorf("the open chord of the pedal rig is %s, %v", e9, err)
	}
	if x, err := NewTuned(rigtest.Builtin(t, "pedal10-e9"), e9, 440, 1, pitch.Harmonic); err != nil {
		t.Error(err)
	} else if d := x.Targets[8]; d.Tone != "b7" || math.Abs(float64(d.JustOff)+31.174) > 0.001 {
		t.Errorf("the harmonic seventh lies %.3f cents off, want -31.174", d.JustOff)
	} else if ds := x.Targets[1]; ds.Tone != "" || math.Abs(float64(ds.JustOff)+11.731) > 0.001 {
		t.Errorf("D♯ over E, no tone of E9, lies %.3f cents off, want 15/8: -11.731", ds.JustOff)
	}
	// Every known tuning that is named for a chord is tuned to that chord.
	for name, want := range map[string]string{
		"a6": "A6", "e6": "E6", "c6-high-g": "C6", "eight-c13": "C13", "pedal-c6": "C6", "pedal-e9": "E9", "high-open-g": "G",
		"open-g-minor": "Gm", "open-d-seventh": "D7", "b11": "B11", "suspended-d": "Dsus4", "low-c-g": "G", "open-e-flat": "Eb",
	} {
		k, _ := FindTuning(name)
		r := rigtest.Builtin(t, "lap6-c6")
		r.Strings, r.Tuning = nil, k.Title
		for i := range k.Pitches {
			r.Strings = append(r.Strings, rig.String{Open: k.Pitches[i], Wire: k.Gauges[i]})
		}
		if c, err := OpenChordOf(r); err != nil || c.String() != want {
			t.Errorf("%s (%s) is tuned to %s, %v, want %s", name, k.Title, c, err, want)
		}
	}
	odd := rigtest.Builtin(t, "lap6-c6")
	odd.Tuning = ""
	for i, p := range tuning(t, "C3 C#3 D3 D#3 E3 F3") {
		odd.Strings[i].Open = p
	}
	if c, err := OpenChordOf(odd); err == nil {
		t.Errorf("a cluster was named %s", c)
	}
	for _, bad := range []struct {
		a4    pitch.Hz
		share float64
	}{{400, 0}, {470, 0}, {440, -0.1}, {440, 1.1}, {pitch.Hz(math.NaN()), 0}, {440, math.NaN()}} {
		if _, err := NewTuned(g, c, bad.a4, bad.share, pitch.FiveLimit); err == nil {
			t.Errorf("A4 = %g Hz with a share of %g was taken", bad.a4, bad.share)
		}
	}
}

func wish(t testing.TB, texts ...string) Requirements {
	w := Requirements{Scale: 635, Reference: 440, Pull: DefaultPull, Limit: 1100, Sold: wire.Sold(wire.NickelPlated)}
	for _, text := range texts {
		w.Tunings = append(w.Tunings, tuning(t, text))
	}
	return w
}

func TestDesign(t *testing.T) {
	d, err := NewDesign(wish(t, "high-open-g"))
	if err != nil {
		t.Fatal(err)
	}
	if d.Best.Worst > 0.1 || d.RunnerUp == nil || d.RunnerUp.Worst < d.Best.Worst {
		t.Errorf("the best set is %.3f off, the runner-up %+v", d.Best.Worst, d.RunnerUp)
	}
	rising := wish(t, "open-d")
	rising.Rise = 0.3
	d, err = NewDesign(rising)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(d.Wanted[0]-120)) > 1e-9 || math.Abs(float64(d.Wanted[5]-156)) > 1e-9 || d.Best.Pulls[0][5] < d.Best.Pulls[0][0] {
		t.Errorf("wanted %v, got %v", d.Wanted, d.Best.Pulls)
	}
	for say, change := range map[string]func(*Requirements){
		"needs a tuning":                func(w *Requirements) { w.Tunings = nil },
		"same number of strings":        func(w *Requirements) { w.Tunings = append(w.Tunings, tuning(t, "eight-c13")) },
		`a scale of "0 mm"`:             func(w *Requirements) { w.Scale = 0 },
		`a scale of "NaN mm"`:           func(w *Requirements) { w.Scale = wire.MM(math.NaN()) },
		`a pull of "20 N"`:              func(w *Requirements) { w.Pull = 20 },
		`breaking load of "0.9"`:        func(w *Requirements) { w.Share = 0.9 },
		`a rise of "3"`:                 func(w *Requirements) { w.Rise = 3 },
		`a load limit of "-1 N"`:        func(w *Requirements) { w.Limit = -1 },
		`a reference pitch of "0" Hz`:   func(w *Requirements) { w.Reference = 0 },
		"no set keeps the limit":        func(w *Requirements) { w.Limit = 301 },
		"no string that is sold serves": func(w *Requirements) { w.Tunings[0] = tuning(t, "G2 B2 D3 G3 B3 C6") },
		"serves string 1 at C1 to D4":   func(w *Requirements) { w.Tunings = append(w.Tunings, tuning(t, "G2 B2 D3 G3 B3 C1")) },
	} {
		w := wish(t, "high-open-g")
		change(&w)
		if d, err := NewDesign(w); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("want %q, got %v, %v", say, d, err)
		}
	}
	one := wish(t, "D4")
	one.Sold = []wire.String{d.Best.Strings[0]}
	if d, err := NewDesign(one); err != nil || d.RunnerUp != nil {
		t.Errorf("with one string to choose from: %v, %v", d, err)
	}
}

// What reach says and what it does are one rule: under the pull that its words
// name a tuning is fine, and from there on it is not.
func TestReachKeepsItsWord(t *testing.T) {
	under := regexp.MustCompile(`all together.* pull less than ([0-9]+) N`)
	tried := 0
	for _, r := range rig.Builtins() {
		if r.Load().Finding != rig.Fine {
			continue
		}
		full := r.Load().Most
		if r.Body.Strict() {
			full *= wire.Newtons(1 + r.Load().Spread)
		}
		// Limits round the pull, a newton apart as far as the words can tell.
		for limit := full * 0.98; limit < full*1.25; limit += 2 {
			r.LoadLimit, r.LoadLimitSource = limit, "maker"
			m := under.FindStringSubmatch(r.FineMeans())
			if m == nil {
				t.Fatalf("%s: %q", r.Name, r.FineMeans())
			}
			care, _ := strconv.ParseFloat(m[1], 64)
			if math.Abs(care-float64(full)) < 1 {
				continue
			}
			tried++
			if fine := r.Load().Finding == rig.Fine; fine != (float64(full) < care) {
				t.Errorf("%s pulls %.0f N: %s, and the words are %q", r.Name, float64(full), r.Load().Finding, r.FineMeans())
			}
		}
	}
	if tried < 100 {
		t.Errorf("only %d limits tried", tried)
	}
}

// Where the plan would change strings it says what the load is then.
func TestChangedStringsAreWeighed(t *testing.T) {
	r := rigtest.Builtin(t, "hollow-neck-open-d")
	// Open G from open D: strings 1, 3 and 6 up five (common practice, no source).
	p, err := NewPlan(r, tuning(t, "G2 B2 D3 G3 B3 D4"), "", 0)
	if err != nil {
		t.Fatal(err)
	}
	if p.Finding != rig.DoNot || p.Changed == nil {
		t.Fatalf("finding %s, changed %v", p.Finding, p.Changed)
	}
	by := p.To.Clone()
	for _, m := range p.Moves {
		if m.Instead != nil {
			by.Strings[m.String-1].Wire = *m.Instead
		}
	}
	if want := by.Load(); p.Changed.Total != want.Total || p.Changed.Finding != want.Finding || want.Total >= p.End {
		t.Errorf("changed it pulls %.1f N and is %s, want %.1f N and %s, less than %.1f N", float64(p.Changed.Total), p.Changed.Finding, float64(want.Total), want.Finding, float64(p.End))
	}
	same, err := NewPlan(r, r.TunedNames(), "", 0)
	if err != nil || same.Changed != nil {
		t.Errorf("with nothing to change: %v, %v", same.Changed, err)
	}
}
