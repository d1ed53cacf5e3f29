package arrange

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// must arranges, in the written key and octave unless the options say more.
func must(t *testing.T, tn *tune.Tune, rigName string, o Options) *Result {
	t.Helper()
	if o.Octave == nil {
		o.Octave = Octaves(0)
	}
	if o.Key == nil {
		o.Key = &tn.Bars[0].Key.Tonic
	}
	if o.Capo == nil && rigName == "bender-open-d" {
		o.Capo = new(int)
	}
	r, err := Arrange(t.Context(), tn, rigtest.Builtin(t, rigName), o)
	if err != nil {
		t.Fatal(err)
	}
	if l := r.Tab.Check(); len(l) > 0 {
		t.Fatalf("%v\n%s", l, picture(r))
	}
	return r
}

// grid writes the strokes as "string:fret" with marks, strokes parted by spaces.
func grid(r *Result) string {
	var out []string
	for i := range r.Tab.Strokes {
		s := &r.Tab.Strokes[i]
		var notes []string
		for _, p := range s.Plucks {
			mark := map[tab.Attack]string{tab.Tied: "-", tab.Glided: "/", tab.Hammered: "h", tab.PulledOff: "p", tab.Harmonic: "*", tab.PalmHarmonic: "^", tab.BentTo: "b", tab.Chopped: "x"}[p.Attack]
			notes = append(notes, string(rune('0'+p.String))+":"+mark+fretText(p.Fret))
		}
		word := strings.Join(notes, "+")
		if word == "" {
			word = "."
		}
		for b := range r.Tab.Rig.Benders {
			if s.Benders.Has(b) {
				word += r.Tab.Rig.Benders[b].Mark
			}
		}
		switch s.Placement.Kind {
		case steel.Forward:
			word += ">"
		case steel.Reverse:
			word += "<"
		case steel.Split:
			word += "Y"
		case steel.Nose:
			word += "n"
		}
		out = append(out, word)
	}
	return strings.Join(out, " ")
}

// TestChoices holds the choices that any player would make (common practice,
// no source). Each pins prices of package grip.
func TestChoices(t *testing.T) {
	for _, c := range []struct {
		why, rig, key string
		o             Options
		lines         []string
		want          string
	}{
		{"a scale from open strings is hammered on off the beat", "reso-open-g", "G", Options{},
			[]string{"G3 A3 B3 C4 D4 B3 G3:2"}, "3:0 3:h2 2:0 2:h1 1:0 2:0 3:0"},
		{"a scale from open strings stays near the nut", "reso-open-g", "G", Options{Touch: PlainTouch},
			[]string{"G3 A3 B3 C4 D4 B3 G3:2"}, "3:0 3:2 2:0 2:1 1:0 2:0 3:0"},
		{"a chord of the tuning is laid square, with no slant", "lap6-c6", "F", Options{},
			[]string{"F3+A3+C4:4 G3+B3+D4:4"}, "5:5+4:5"},
		{"an arpeggio rings under one position", "tricone-open-d", "A", Options{Closed: true},
			[]string{"C#4 E4 A4 E4 C#4 A3 E3:2"}, "3:7 2:7 1:7 2:7 3:7 4:7 5:7"},
		{"two benders give the fourth chord without moving the bar", "bender-open-d", "D", Options{High: 3},
			[]string{"D3+F#3+A3:2 D3+G3+B3:2"}, "2:0+3:0+4:0 2:0+3:0+4:0AB"},
		{"one bender alone gives the minor chord at the 8th fret", "bender-open-d", "G", Options{Pins: []Pin{{FromBarNumber: 1, Low: 8, High: 8, Closed: true}}},
			[]string{"Bb3+D4+G4:4"}, "2:8+3:8+4:8B"},
		{"the nose holds a note while an open string sounds below it", "lap8-c13", "C", Options{Low: 5, High: 5},
			[]string{"D4:4", "F3:2 E3:2"}, "3:5+6:5 5:0n"},
		{"a slant lets one voice move under a held one", "lap6-c6", "C", Options{Closed: true},
			[]string{"E5:4", "A4:2 G#4:2"}, "1:12+3:12 3:11>"},
		{"a bender does the same without moving the bar", "bender-open-d", "G", Options{Closed: true},
			[]string{"G4:4", "B3:2 C4:2"}, "1:5+3:5 3:5A"},
		{"a tie keeps its string though the next note would like another", "reso-open-g", "G", Options{Closed: true},
			[]string{"G4:4- G4:4 A4:4 G4:4"}, "1:5 1:-5 1:7 1:5"},
	} {
		t.Run(c.why, func(t *testing.T) {
			r := must(t, tunetest.Score(t, c.key, c.lines...), c.rig, c.o)
			if got := grid(r); got != c.want && !strings.HasPrefix(c.why, "a chord of") {
				t.Errorf("got %s, want %s\n%s", got, c.want, picture(r))
			}
			if slants, _ := r.Tab.Slants(); strings.HasPrefix(c.why, "a chord of") && slants > 0 {
				t.Errorf("the bar is leaned\n%s", picture(r))
			}
		})
	}
}

// TestCompromises: what cannot be played is listed with its place and reason.
func TestCompromises(t *testing.T) {
	for _, c := range []struct {
		what, rig string
		o         Options
		lines     []string
		bar       int
		at        string
		wanted    string
		got, why  string
	}{
		{"too low", "reso-open-g", Options{}, []string{"G3:4 F2:4"}, 1, "1/2", "F2", "nothing", "below the lowest string"},
		{"too high", "reso-open-g", Options{}, []string{"G3:4 C8:4"}, 1, "1/2", "C8", "nothing", "above fret 24"},
		{"no placement for all", "reso-open-g", Options{Closed: true}, []string{"G3+G#3+A3+Bb3:8"}, 1, "0", "", "nothing", "no placement of the bar sounds it together"},
		{"two voices on one pitch", "lap6-c6", Options{}, []string{"E4:4", "E4:4"}, 1, "0", "E4", "one string for both notes", "two voices meet"},
		{"more notes than hands", "pedal10-e9", Options{}, []string{"E2+F2+F#2+G2+G#2+A2+Bb2+B2+C3:8"}, 1, "0", "E2", "nothing", "more notes at once"},
	} {
		t.Run(c.what, func(t *testing.T) {
			r := must(t, tunetest.Score(t, "C", c.lines...), c.rig, c.o)
			silent := 0
			for _, x := range r.Tab.Compromises {
				if x.Got == "nothing" {
					silent++
				}
			}
			if r.Tab.Lost() != silent {
				t.Errorf("%d notes lost are counted, and %d listed: %+v", r.Tab.Lost(), silent, r.Tab.Compromises)
			}
			for _, x := range r.Tab.Compromises {
				if (c.wanted == "" || x.Wanted == c.wanted) && x.BarNumber == c.bar && x.At.String() == c.at && x.Got == c.got && strings.Contains(x.Why, c.why) {
					return
				}
			}
			t.Errorf("not among %+v\n%s", r.Tab.Compromises, picture(r))
		})
	}
}

// TestGestures: glides keep their string, slurs from and to open strings are
// hammered and pulled, and notes beyond the neck become harmonics.
func TestGestures(t *testing.T) {
	for _, c := range []struct {
		what, rig, want string
		o               Options
		lines           []string
	}{
		{"a glide", "lap6-c6", "4:9 4:/11", Options{Closed: true, Pins: []Pin{{FromBarNumber: 1, String: 4}}}, []string{"E4:4/ F#4:4"}},
		{"a bender bends", "bender-open-d", "3:0 3:b0A", Options{Pins: []Pin{{FromBarNumber: 1, High: 3}}}, []string{"F#3:4/ G3:4"}},
		{"hammered on and pulled off", "reso-open-g", "2:0 2:h1 2:p0", Options{Pins: []Pin{{FromBarNumber: 1, String: 2}}}, []string{"(B3:2 C4:2 B3:4)"}},
		{"natural harmonic", "reso-open-g", "1:*7", Options{High: 12, Level: grip.Steady}, []string{"A5:8"}},
		{"palm harmonic", "reso-open-g", "1:^12", Options{High: 12}, []string{"D6:8"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			r := must(t, tunetest.Score(t, "G", c.lines...), c.rig, c.o)
			if got := grid(r); got != c.want {
				t.Errorf("got %s, want %s\n%s", got, c.want, picture(r))
			}
		})
	}
	// A glide that can't be made is listed.
	zero := 0
	at := tune.Ticks(0)
	r := must(t, tunetest.Score(t, "G", "G3:4/ C4:4"), "reso-open-g", Options{Pins: []Pin{{FromBarNumber: 1, At: &at, Fret: &zero}}})
	if len(r.Tab.Compromises) != 1 || !strings.Contains(r.Tab.Compromises[0].Wanted, "a glide into C4") {
		t.Errorf("a glide from an open string is not listed: %+v\n%s", r.Tab.Compromises, picture(r))
	}
}

// TestLevels: no level goes beyond its limits, whatever the tune.
func TestLevels(t *testing.T) {
	tunes := []*tune.Tune{melodyOf(t, 8), voicesOf(t, 8)}
	for level := grip.Level(0); level.Known(); level++ {
		lim := grip.LimitsOf(level)
		vibrato := 0
		for _, tn := range tunes {
			for _, name := range []string{"reso-open-g", "lap8-c13", "bender-open-d", "pedal10-e9"} {
				o := Options{Level: level, Vibrato: true}
				r, err := Arrange(t.Context(), tn, rigtest.Builtin(t, name), o)
				if err != nil {
					t.Fatal(err)
				}
				g := steel.New(r.Tab.Rig)
				for i := range r.Tab.Strokes {
					s := &r.Tab.Strokes[i]
					engaged := 0
					for b := range r.Tab.Rig.Benders {
						if s.Benders.Has(b) {
							engaged++
						}
					}
					switch a := math.Abs(g.Angle(s.Placement)); {
					case a > lim.Angle:
						t.Errorf("%s, %s: the bar leans %.0f°, and %.0f° is the limit", level, name, a, lim.Angle)
					case s.Placement.FirstFret > float64(lim.Fret):
						t.Errorf("%s, %s: fret %g, and %d is the limit", level, name, s.Placement.FirstFret, lim.Fret)
					case engaged > lim.Benders:
						t.Errorf("%s, %s: %d benders at once, and %d is the limit", level, name, engaged, lim.Benders)
					}
					for _, p := range s.Plucks {
						if p.Vibrato {
							vibrato++
						}
						if off := math.Abs(float64(g.CentsOff(s.Placement, p.String, s.Benders, int(math.Round(tab.Key(g, s, &p)))))); off > lim.Cents && p.Attack < tab.Harmonic {
							t.Errorf("%s, %s: %.0f cents off, and %.0f is the limit", level, name, off, lim.Cents)
						}
					}
				}
			}
		}
		if (vibrato > 0) != (lim.Vibrato > 0) {
			t.Errorf("%s: vibrato on %d notes, and it is for notes of %g s", level, vibrato, lim.Vibrato)
		}
	}
}

// TestRefusals: wishes that can't be met are one clear error.
func TestRefusals(t *testing.T) {
	tn := tunetest.Score(t, "G", "G3:4 B3:4")
	fret, eighth := 30, tune.Whole/8
	for _, c := range []struct {
		o    Options
		rig  string
		want string
	}{
		{Options{Octave: Octaves(9)}, "reso-open-g", `octave "9" is farther`},
		{Options{Capo: Octaves(3)}, "lap6-c6", "no capo"},
		{Options{Capo: Octaves(30)}, "bender-open-d", `goes to fret 7, and "30"`},
		{Options{Level: 7}, "reso-open-g", `no player level "7"`},
		{Options{Low: 9, High: 3}, "reso-open-g", `between frets "9" and "3"`},
		{Options{Pins: []Pin{{FromBarNumber: 1, String: 9}}}, "reso-open-g", `no string "9"`},
		{Options{Pins: []Pin{{FromBarNumber: 9, String: 1}}}, "reso-open-g", "bars run from 1 to 1"},
		{Options{Pins: []Pin{{FromBarNumber: 1, At: &eighth, String: 1}}}, "reso-open-g", "nothing to pin"},
		{Options{Pins: []Pin{{FromBarNumber: 1, Fret: &fret}}}, "reso-open-g", "cannot be played as pinned: fret 30 in bar 1"},
		{Options{Pins: []Pin{{FromBarNumber: 1, String: 1}, {FromBarNumber: 1, High: 2}}, Octave: Octaves(0)}, "reso-open-g", "bar 1"},
	} {
		_, err := Arrange(t.Context(), tn, rigtest.Builtin(t, c.rig), c.o)
		var f *fault.Fault
		if !errors.As(err, &f) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v on %s: got %v, want a fault with %q", c.o, c.rig, err, c.want)
		}
	}
	for _, bad := range []*tune.Tune{{}, tunetest.Score(t, "G", "z:8")} {
		if _, err := Arrange(t.Context(), bad, rigtest.Builtin(t, "reso-open-g"), Options{}); err == nil {
			t.Error("a tune without notes was arranged")
		}
	}
}

// TestNearestMiss: the error of a pin names what could be had without it.
func TestNearestMiss(t *testing.T) {
	tn := tunetest.Score(t, "G", "B3:2")
	_, err := Arrange(t.Context(), tn, rigtest.Builtin(t, "reso-open-g"), Options{Octave: Octaves(0), Pins: []Pin{{FromBarNumber: 1, String: 1}}})
	var f *fault.Fault
	if !errors.As(err, &f) || !strings.Contains(f.Hint, "string 2 open") {
		t.Errorf("got %v with hint %q", err, f.Hint)
	}
}

func TestParsePin(t *testing.T) {
	r := rigtest.Builtin(t, "bender-open-d")
	five := 5
	eighth := tune.Whole / 8
	both := rig.BenderSet(3)
	for _, c := range []struct {
		text string
		want Pin
	}{
		{"3-4 string 2", Pin{FromBarNumber: 3, ToBarNumber: 4, String: 2}},
		{"5 fret 5", Pin{FromBarNumber: 5, ToBarNumber: 5, Fret: &five}},
		{"1-8 frets 3-9 closed", Pin{FromBarNumber: 1, ToBarNumber: 8, Low: 3, High: 9, Closed: true}},
		{"2 square", Pin{FromBarNumber: 2, ToBarNumber: 2, Square: true}},
		{"7@1/8 benders A B", Pin{FromBarNumber: 7, ToBarNumber: 7, At: &eighth, Benders: &both}},
		{"4 grip 1:5 3:4", Pin{FromBarNumber: 4, ToBarNumber: 4, Grip: []Stop{{1, 5}, {3, 4}}}},
	} {
		got, err := ParsePin(c.text, r)
		if err != nil || got.Words() != c.want.Words() {
			t.Errorf("%q: got %q, %v, want %q", c.text, got.Words(), err, c.want.Words())
		}
	}
	for _, bad := range []string{"", "3", "x string 2", "3-x string 2", "3 string", "3 string two", "3 string 0", "3 string 9", "3 frets 9-3",
		"3 frets", "3 nonsense", "3 grip", "3 grip 1:x", "3 benders Z", "3@1/0 closed", "3@x closed", "9-3 closed", "3 fret -1"} {
		if p, err := ParsePin(bad, r); err == nil {
			t.Errorf("%q was read as %q", bad, p.Words())
		}
	}
}

// TestPinsAreKept pins bars of a tune and looks.
func TestPinsAreKept(t *testing.T) {
	tn := melodyOf(t, 8)
	r := must(t, tn, "lap8-c13", Options{Pins: []Pin{{FromBarNumber: 2, ToBarNumber: 3, Low: 5, High: 9, Closed: true}, {FromBarNumber: 5, ToBarNumber: 5, String: 4}}})
	for i := range r.Tab.Strokes {
		s := &r.Tab.Strokes[i]
		for _, p := range s.Plucks {
			if s.BarIndex >= 1 && s.BarIndex <= 2 && (p.Fret < 5 || p.Fret > 9) {
				t.Errorf("bar %d: fret %g, pinned to 5 to 9", s.BarIndex+1, p.Fret)
			}
			if s.BarIndex == 4 && p.String != 4 {
				t.Errorf("bar 5: string %d, pinned to 4", p.String)
			}
		}
	}
}

// TestChoicesAtAMoment: the cheapest choice costs nothing more, and pinning any
// choice costs what it says.
func TestChoicesAtAMoment(t *testing.T) {
	tn := tunetest.Score(t, "G", "G3 A3 B3 C4 D4:2 B3+D4:2")
	o := Options{Octave: Octaves(0), Key: &tn.Bars[0].Key.Tonic}
	r := rigtest.Builtin(t, "reso-open-g")
	base, err := Arrange(t.Context(), tn, r, o)
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for _, at := range []tune.Ticks{0, tune.Whole / 8, 3 * tune.Whole / 4} {
		choices, err := Choices(t.Context(), tn, r, o, 1, at)
		if err != nil {
			t.Fatal(err)
		}
		if len(choices) < 2 || !choices[0].Now || choices[0].Extra != 0 {
			t.Errorf("at %s: %+v", at, choices)
		}
		for _, c := range choices {
			with := o
			with.Pins = []Pin{c.Pin}
			res, err := Arrange(t.Context(), tn, r, with)
			if err != nil {
				t.Errorf("%s: %v", c.Words, err)
				continue
			}
			if d := res.Cost - base.Cost - c.Extra; math.Abs(d) > 1e-6 {
				t.Errorf("at %s, %s: said to cost %g more, costs %g", at, c.Words, c.Extra, res.Cost-base.Cost)
			}
			tried++
		}
	}
	if tried < 6 {
		t.Errorf("only %d choices", tried)
	}
	if _, err := Choices(t.Context(), tn, r, o, 9, 0); err == nil {
		t.Error("choices were found in a bar that is not there")
	}
}

// TestAlternatives: every one differs from the others as its name says, and
// none is cheaper than the first.
func TestAlternatives(t *testing.T) {
	tn := melodyOf(t, 8)
	all, err := Alternatives(t.Context(), tn, rigtest.Builtin(t, "lap8-c13"), Options{}, 5)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 3 {
		t.Fatalf("only %d", len(all))
	}
	for i, a := range all {
		low, high := a.Result.Tab.Frets()
		open := false
		for _, s := range a.Result.Tab.Strokes {
			for _, p := range s.Plucks {
				open = open || p.Fret == 0
			}
		}
		switch {
		case a.Result.Cost < all[0].Result.Cost:
			t.Errorf("%s is cheaper than the cheapest", a.Name)
		case strings.Contains(a.Name, "no open strings") && open:
			t.Errorf("%s has open strings", a.Name)
		case strings.Contains(a.Name, "near the nut") && high > 7, strings.Contains(a.Name, "high on") && low < 10, strings.Contains(a.Name, "middle") && (low < 5 || high > 12):
			t.Errorf("%s: frets %g to %g", a.Name, low, high)
		}
		for _, b := range all[:i] {
			if look(a.Result.Tab) == look(b.Result.Tab) {
				t.Errorf("%s and %s look the same", a.Name, b.Name)
			}
		}
	}
}

// TestKeyRule: the tune's own key stays when it plays well, and gives way when
// notes would be lost.
func TestKeyRule(t *testing.T) {
	r, err := Arrange(t.Context(), tunetest.Score(t, "Eb", "Eb4 F4 G4 Ab4 Bb4 G4 Eb4:2"), rigtest.Builtin(t, "reso-open-g"), Options{})
	if err != nil || r.Transposed%12 != 0 {
		t.Errorf("moved by %d from a key that plays: %v", r.Transposed, err)
	}
	// This rig has four octaves, from D2 to D6 at its 24th fret. From C2 to B5
	// is one semitone less, which fits in D and Eb alone.
	low := tunetest.Score(t, "C", "C2:4 B5:4")
	r, err = Arrange(t.Context(), low, rigtest.Builtin(t, "tricone-open-d"), Options{})
	if err != nil || len(r.Tab.Compromises) != 0 || r.Transposed != 2 && r.Transposed != 3 {
		t.Errorf("a low C on open D: moved by %d, %d compromises, %v", r.Transposed, len(r.Tab.Compromises), err)
	}
	// With an octave asked for, the key stays and what does not fit is told (a B
	// beyond the frets does, as a palm harmonic).
	for _, octave := range []int{-1, 0, 1} {
		r, err = Arrange(t.Context(), low, rigtest.Builtin(t, "tricone-open-d"), Options{Octave: &octave})
		if err != nil || (len(r.Tab.Compromises) == 0) != (octave == 1) || r.Transposed != 12*octave || r.Key != low.Bars[0].Key {
			t.Errorf("moved by %d octaves: %d semitones, into %s, %d compromises, %v", octave, r.Transposed, r.Key, len(r.Tab.Compromises), err)
		}
	}
	// A key is spelled as it is asked for where a signature of seven will do (on
	// the circle of fifths F# and Gb are six from C, C# and Cb seven, and G# and
	// Fb eight), and no mode is taken that the tune has not.
	for asked, want := range map[string]string{"Gb": "Gb major", "F#": "F# major", "Cb": "Cb major", "B": "B major", "C#": "C# major", "G#": "Ab major", "Fb": "E major"} {
		c, err := pitch.ParseClass(asked)
		if err != nil {
			t.Fatal(err)
		}
		tn := tunetest.Score(t, "C", "C4 E4 G4 B3")
		r, err = Arrange(t.Context(), tn, rigtest.Builtin(t, "reso-open-g"), Options{Key: &c})
		if err != nil {
			t.Fatal(err)
		}
		if r.Key.String() != want {
			t.Errorf("asked for %s, got %s", asked, r.Key)
		}
		for i, m := range tune.Moments(tab.Sounding(r.Tab)) {
			if was := tune.Moments(tn)[i].Notes[0].Name; m.Notes[0].Name.Key() != was.Key()+r.Transposed {
				t.Errorf("in %s: %s became %s, moved by %d", asked, was, m.Notes[0].Name, r.Transposed)
			}
		}
		back, err := Arrange(t.Context(), r.Tab.Tune, rigtest.Builtin(t, "reso-open-g"), Options{Key: &c, Octave: Octaves(0)})
		if err != nil || back.Key != r.Key || back.Transposed != 0 {
			t.Errorf("%s asked for %s again: %s, moved by %d, %v", r.Key, asked, back.Key, back.Transposed, err)
		}
	}
	minor := pitch.Minor
	_, err = Arrange(t.Context(), low, rigtest.Builtin(t, "reso-open-g"), Options{Key: &pitch.Class{Letter: pitch.A}, Mode: &minor})
	if err == nil || !strings.Contains(err.Error(), "the tune is in C major") {
		t.Errorf("a tune in C major asked for in A minor: %v", err)
	}
	// Open E is open D with the capo at the second fret (common practice, no
	// source): its chord is then on the open strings. A tune in D leaves it off.
	r, err = Arrange(t.Context(), tunetest.Score(t, "E", "E3 G#3 B3 E4 B3 G#3 E3 B2"), rigtest.Builtin(t, "bender-open-d"), Options{Octave: Octaves(0), Capo: Octaves(2)})
	if err != nil || r.Tab.Rig.Capo.At != 2 || r.Transposed != 0 || grid(r) != "4:0 3:0 2:0 1:0 2:0 3:0 4:0 5:0" {
		t.Errorf("a tune in E with the capo at 2: %s, %v", grid(r), err)
	}
	r, err = Arrange(t.Context(), tunetest.Score(t, "D", "D3 F#3 A3 D4 A3 F#3 D3 A2 D3 E3 F#3 A3 D4:2 A3:2"), rigtest.Builtin(t, "bender-open-d"), Options{Octave: Octaves(0)})
	if err != nil || r.Tab.Rig.Capo.At != 0 || r.Transposed != 0 {
		t.Errorf("a tune in D: capo at %d, moved by %d, %v", r.Tab.Rig.Capo.At, r.Transposed, err)
	}
	c := pitch.Class{Letter: pitch.A}
	r, err = Arrange(t.Context(), tunetest.Score(t, "C", "C4:4 G4:4"), rigtest.Builtin(t, "reso-open-g"), Options{Key: &c})
	if err != nil || pitch.Mod(r.Transposed, 12) != 9 || r.Key.Tonic != c {
		t.Errorf("asked for A, got %s, moved by %d, %v", r.Key, r.Transposed, err)
	}
}

// TestHarmony works a few bars out by ear: thirds and sixths under a melody of
// chord tones, passing notes left alone.
func TestHarmony(t *testing.T) {
	tn := tunetest.Score(t, "C", "G4:2 E4:2 F4 E4 C4:2")
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	tn.Bars[0].Chords = []tune.ChordAt{{Text: "C", Chord: &c}}
	for _, h := range []struct {
		h    Harmony
		want []string // what may sound at the first two notes
	}{
		{Thirds, []string{"G4+E4", "E4+C4"}},
		{Sixths, []string{"G4+C4", "E4+G3"}}, // a fifth where the chord has no sixth below
		{Chords, []string{"G4+E4+C4 G4+E4+G3 G4+C4+G3", "E4+C4+G3 E4+C4+E3 E4+G3+E3"}},
	} {
		r := must(t, tn, "lap6-c6", Options{Harmony: h.h})
		var got []string
		for _, m := range tune.Moments(tab.Sounding(r.Tab)) {
			var names []string
			for _, n := range m.Notes {
				names = append(names, n.Name.String())
			}
			got = append(got, strings.Join(names, "+"))
		}
		for i, want := range h.want {
			if !slices.Contains(strings.Fields(want), got[i]) {
				t.Errorf("%s: got %v, want one of %s at %d\n%s", h.h, got, want, i, picture(r))
			}
		}
		if got[3] != "E4" || got[2] != "F4" {
			t.Errorf("%s: the passing notes are %v, want F4 and E4 alone", h.h, got[2:4])
		}
	}
	if _, err := Arrange(t.Context(), tunetest.Score(t, "C", "E4+G4:4"), rigtest.Builtin(t, "lap6-c6"), Options{Harmony: Thirds}); err == nil {
		t.Error("harmony was added under two notes")
	}
}

// TestRolls: an arpeggio at speed is picked as a roll, and named.
func TestRolls(t *testing.T) {
	tn := tunetest.Score(t, "G", "G3 B3 D4 B3 G3 B3 D4 B3")
	tn.Bars[0].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 180_000}}
	r := must(t, tn, "reso-open-g", Options{})
	rolls := r.Rolls()
	if len(rolls) != 1 || rolls[0].Name != "forward and backward roll" || rolls[0].Strokes != 8 || rolls[0].Fingers != "T I M I" {
		t.Errorf("got %+v\n%s", rolls, picture(r))
	}
	if r := must(t, tunetest.Score(t, "G", "G3:2 G3:2 G3:2 G3:2"), "reso-open-g", Options{}); len(r.Rolls()) > 0 {
		t.Errorf("repeated notes make %+v", r.Rolls())
	}
}

// TestAlike: a bar that comes again is played the same way, but for its first
// and last note, which may lead in and out.
func TestAlike(t *testing.T) {
	bar := "E4 F#4 G4 A4 G4 F#4 E4 D4 "
	tn := tunetest.Score(t, "G", bar+"G4 A4 B4 A4 G4 F#4 G4 D4 "+bar+"B3 C4 D4 C4 B3 A3 B3 D4 "+bar)
	for _, name := range []string{"reso-open-g", "lap8-c13", "tricone-open-d"} {
		r := must(t, tn, name, Options{})
		words := strings.Fields(grid(r))
		if a, b, c := words[1:7], words[17:23], words[33:39]; !slices.Equal(a, b) || !slices.Equal(a, c) {
			t.Errorf("%s: the same bar is played %v, %v, %v", name, a, b, c)
		}
	}
}

// TestRegionHoldsForHarmonics: the hand that touches a natural harmonic stays
// between the frets asked for, as the bar does.
func TestRegionHoldsForHarmonics(t *testing.T) {
	// F#4 is the third harmonic of string 5, B2, touched at fret 7 (harmonic
	// series: three times the frequency is an octave and a fifth higher), and lies
	// at no fret from 12 to 14.
	tn := tunetest.Score(t, "G", "F#4:4 D5:4")
	natural := func(r *Result) int {
		n := 0
		for i := range r.Tab.Strokes {
			for _, p := range r.Tab.Strokes[i].Plucks {
				if p.Attack == tab.Harmonic {
					n++
				}
			}
		}
		return n
	}
	if r := must(t, tn, "reso-open-g", Options{Low: 12, High: 14}); natural(r) != 0 || len(r.Tab.Compromises) != 1 {
		t.Errorf("between frets 12 and 14: %s", grid(r))
	}
	// F#5 is the third harmonic of string 2, B3, and beyond fret 7 of string 1.
	tn = tunetest.Score(t, "G", "F#5:8")
	if r := must(t, tn, "reso-open-g", Options{High: 7}); natural(r) != 1 || len(r.Tab.Compromises) != 0 {
		t.Errorf("up to fret 7: %s", grid(r))
	}
	// Below that it is a palm harmonic: the bar at fret 4, the palm wherever it
	// picks.
	for _, o := range []Options{{High: 6}, {High: 7, Pins: []Pin{{FromBarNumber: 1, High: 6}}}} {
		if r := must(t, tn, "reso-open-g", o); grid(r) != "1:^4" {
			t.Errorf("up to fret 6: %s", grid(r))
		}
	}
}

// TestVibrato: it is marked where it is asked for, and nowhere else.
func TestVibrato(t *testing.T) {
	tn := tunetest.Score(t, "C", "E4:2/ F4:2 A4:4", "C4:4 E4:2/ F4:2")
	marks := func(x *tab.Tab) int {
		n := 0
		for i := range x.Strokes {
			for _, p := range x.Strokes[i].Plucks {
				if p.Vibrato {
					n++
				}
			}
		}
		return n
	}
	if n := marks(must(t, tn, "lap6-c6", Options{Closed: true}).Tab); n > 0 {
		t.Fatalf("%d notes have vibrato that nobody asked for", n)
	}
	if n := marks(must(t, tn, "lap6-c6", Options{Closed: true, Vibrato: true}).Tab); n < 3 {
		t.Errorf("vibrato was asked for, and is on %d notes", n)
	}
}

// TestChops: a stroke without pitch is played on the string that it names, whatever
// the key, beside notes that have one, and the steel stays where it is for it.
func TestChops(t *testing.T) {
	tn := tunetest.Score(t, "G", "B4:2 D4:2 G4:4")
	line := tn.Bars[0].Lines[0]
	line[1].Notes[0].Chop = true // string 1 of open G
	for _, by := range []int{0, 2} {
		r := must(t, tn, "reso-open-g", Options{In: &Setting{Semitones: by}})
		if l := r.Tab.Check(); len(l) > 0 {
			t.Fatal(l)
		}
		st := r.Tab.Strokes[1]
		if len(st.Plucks) != 1 || st.Plucks[0].String != 1 || st.Plucks[0].Attack != tab.Chopped || st.Placement != r.Tab.Strokes[0].Placement {
			t.Errorf("moved by %d: %+v", by, st)
		}
		if heard := tab.Sounding(r.Tab).Bars[0].Lines[0][1]; !heard.Notes[0].Chop {
			t.Errorf("moved by %d: what sounds is %+v", by, heard)
		}
		r.Tab.Strokes[1].Plucks[0].Attack = tab.Picked
		if l := r.Tab.Check(); len(l) == 0 {
			t.Error("a chop that is plucked is not found out")
		}
	}
	// A stroke without pitch is no unison, though its string's open pitch is the note's:
	// both are played, the note at a fret of the next string.
	tn = tunetest.Score(t, "G", "D4:8", "D4:8")
	tn.Bars[0].Lines[0][0].Notes[0].Chop = true
	r := must(t, tn, "reso-open-g", Options{In: &Setting{}})
	if p := r.Tab.Strokes[0].Plucks; len(p) != 2 || len(r.Tab.Compromises) > 0 {
		t.Errorf("%+v, %+v", p, r.Tab.Compromises)
	}
}
