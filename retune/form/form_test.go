package form

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/wire"
)

// sixInDAD is a form for a six-string lap steel in a tuning that no built-in has.
func sixInDAD() Instrument {
	return Instrument{Body: "lap steel", Scale: "22.5 in", Strings: "6", Tuning: "D2 A2 D3 E3 A3 D4", Gauges: ".014 .018 .026w .030w .036w .056w"}
}

// TestScaleAsItIsWritten: an inch is 25.4 mm (ISO 31-1); a bare number is inches
// when it is small and millimetres when it is large.
func TestScaleAsItIsWritten(t *testing.T) {
	for text, want := range map[string]float64{
		"22.5 in": 571.5, `22.5"`: 571.5, "22 1/2": 571.5, "22 1/2 in": 571.5, "22½": 571.5, "22½″": 571.5, "22.5": 571.5, "22,5 in": 571.5,
		"25 inches": 635, "572 mm": 572, "572": 572, "57.2 cm": 572,
	} {
		got, err := parseScale(text)
		if err != nil || math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("%s: %v mm, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "long", "0", "2 in", "61", "22 1/0", "4000 mm"} {
		if got, err := parseScale(text); err == nil {
			t.Errorf("%q is read as %v mm", text, got)
		}
	}
}

// TestTuningWithoutOctaves: letters alone climb from the lowest string, the
// highest near D4, where the usual tunings have it: open D and C6 come out as the
// catalogue of tunings has them.
func TestTuningWithoutOctaves(t *testing.T) {
	for text, want := range map[string]string{
		"D A D F# A D": "D2 A2 D3 F#3 A3 D4", "C E G A C E": "C3 E3 G3 A3 C4 E4", "G B D G B D": "G2 B2 D3 G3 B3 D4",
		"d, a, d, f♯": "D3 A3 D4 F#4", "C": "C4", "Bb": "Bb3", "C2 G2 C3": "C2 G2 C3",
	} {
		got, err := parseTuning(text)
		if err != nil || retune.TuningText(got) != want {
			t.Errorf("%s: %s, %v, want %s", text, retune.TuningText(got), err, want)
		}
	}
	for _, text := range []string{"", "H", "D2 A", "D9"} {
		if got, err := parseTuning(text); err == nil {
			t.Errorf("%q is read as %s", text, retune.TuningText(got))
		}
	}
}

// TestInstrumentFromNothing: the form's instrument has what the form says, whichever
// end its packet prints first, and passes the rig's own checks.
func TestInstrumentFromNothing(t *testing.T) {
	for _, gauges := range []string{".014 .018 .026w .030w .036w .056w", "56w 36w 30w 26w 18 14", ".014, .018, .026w, .030w, .036w, .056w"} {
		f := sixInDAD()
		f.Gauges = gauges
		made, err := f.Rig()
		if err != nil {
			t.Fatal(err)
		}
		g, err := rig.Parse(rig.Format(made), "rig")
		if err != nil {
			t.Fatal(err)
		}
		if g.Title != "Lap steel in D2 A2 D3 E3 A3 D4" || g.Scale != 571.5 || g.TuningText() != "D2 A2 D3 E3 A3 D4" || g.Name != "lap-steel-in-d2-a2-d3-e3-a3-d4" {
			t.Errorf("%s: %q, %v mm, %s, %s", gauges, g.Title, g.Scale, g.TuningText(), g.Name)
		}
		if got := retune.GaugeText(g.Strings[0].Wire) + " " + retune.GaugeText(g.Strings[5].Wire); got != "14 56w" {
			t.Errorf("%s: the outer strings are %s", gauges, got)
		}
	}
}

// TestGaugesLeftOut: the set that is chosen for them keeps each string under its
// breaking load and the whole under what the body carries.
func TestGaugesLeftOut(t *testing.T) {
	for _, body := range rig.Bodies() {
		f := sixInDAD()
		f.Gauges, f.Body, f.Scale, f.Title = "", string(body), "25 in", "Nameless"
		g, err := f.Rig()
		if err != nil {
			t.Errorf("%s: %v", body, err)
			continue
		}
		if load := g.Load(); load.Finding == rig.DoNot || load.Total > load.Limit || g.Title != "Nameless" {
			t.Errorf("%s: %s, %v of %v, %q", body, load.Finding, load.Total, load.Limit, g.Title)
		}
	}
}

// TestFormSaysWhichField: what is wrong in a form names its field.
func TestFormSaysWhichField(t *testing.T) {
	for field, spoil := range map[string]func(*Instrument){
		"body": func(n *Instrument) { n.Body = "lute" }, "scale": func(n *Instrument) { n.Scale = "" }, "strings": func(n *Instrument) { n.Strings = "17" },
		"tuning": func(n *Instrument) { n.Tuning = "D2 A2" }, "gauges": func(n *Instrument) { n.Gauges = "14 16" }, "capo": func(n *Instrument) { n.Capo = "high" }, "benders": func(n *Instrument) { n.Benders = "A palm 9+1" },
		"title": func(n *Instrument) { n.Title = strings.Repeat("long ", 60) },
	} {
		f := sixInDAD()
		spoil(&f)
		_, err := f.Rig()
		var list fault.List
		if !errors.As(err, &list) || len(list) != 1 || list[0].Part != field {
			t.Errorf("%s spoilt: %v", field, err)
		}
	}
}

// TestBendersAsTheyAreWritten: a line a bender, with or without its mark and what
// works it; what can't be read names its line.
func TestBendersAsTheyAreWritten(t *testing.T) {
	f := sixInDAD()
	f.Benders = "3+1 2 + 2\n\nK knee 5−1"
	f.Capo = "4"
	g, err := f.Rig()
	if err != nil {
		t.Fatal(err)
	}
	want := []rig.Bender{
		{Name: "palm A", Mark: "A", Kind: rig.Palm, Moves: []rig.Move{{String: 3, Semitones: 1}, {String: 2, Semitones: 2}}},
		{Name: "knee K", Mark: "K", Kind: rig.Knee, Moves: []rig.Move{{String: 5, Semitones: -1}}},
	}
	if !reflect.DeepEqual(g.Benders, want) || g.Capo.Highest != 4 {
		t.Errorf("%+v, capo to %d", g.Benders, g.Capo.Highest)
	}
	for text, want := range map[string]rig.Capo{"": {}, " 7 ": {Highest: 7}, "sliding 7": {Highest: 7}, "Clamp 5": {Clamp: true, Highest: 5}} {
		f.Capo = text
		if g, err := f.Rig(); err != nil || g.Capo != want {
			t.Errorf("the capo %q: %+v, %v; want %+v", text, g, err, want)
		}
	}
	for _, text := range []string{"clamp", "sliding", "clamp 5 6", "-1", "clamp high"} {
		f.Capo = text
		if g, err := f.Rig(); err == nil {
			t.Errorf("the capo %q is read as %+v", text, g.Capo)
		}
	}
	f.Capo = ""
	if f.Body = string(rig.PedalSteel); true {
		if g, err := f.Rig(); err != nil || g.Benders[0].Kind != rig.Pedal {
			t.Errorf("on a pedal steel: %+v, %v", g, err)
		}
	}
	for text, line := range map[string]int{
		"A palm": 1, "3+1\n9+1": 2, "3+1\n\nA foot 2+1": 3, "A 3+x": 1, "A 3": 1, "x y z": 1,
	} {
		f.Benders = text
		_, err := f.Rig()
		var list fault.List
		if !errors.As(err, &list) || list[0].Part != "benders" || list[0].Line != line {
			t.Errorf("%q: %v, want line %d", text, err, line)
		}
	}
	for _, text := range []string{"A 3+1\nA 2+1", "A 3+9", "A 3+1 3+2", strings.Repeat("3+1\n", 60)} { // the instrument's own check refuses them
		f.Benders = text
		_, err := f.Rig()
		var list fault.List
		if !errors.As(err, &list) || list[0].Part != "benders" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// TestGaugesThatNobodyTold: a set that stands in for one is never told to be fine,
// and the file says so.
func TestGaugesThatNobodyTold(t *testing.T) {
	f := sixInDAD()
	f.Gauges, f.Unknown = "", true
	made, err := f.Rig()
	if err != nil {
		t.Fatal(err)
	}
	g, err := rig.Parse(rig.Format(made), "rig")
	if err != nil {
		t.Fatal(err)
	}
	if l := g.Load(); !g.GaugesUnknown || l.Finding != rig.Caution || !slices.Contains(l.Reasons, rig.Unknown) {
		t.Errorf("unknown %v, found %s: %q", g.GaugesUnknown, l.Finding, l.Reasons)
	}
	if f = sixInDAD(); true {
		f.Unknown = true // gauges that are told are known
		if g, err := f.Rig(); err != nil || g.GaugesUnknown {
			t.Errorf("%+v, %v", g, err)
		}
	}
}

// FuzzForm: whatever stands in the fields, there is an instrument that its own file
// gives back, or faults that each name a field.
func FuzzForm(f *testing.F) {
	good := sixInDAD()
	f.Add(good.Title, good.Body, good.Scale, good.Strings, good.Tuning, good.Gauges, "3", "A palm 3+1 2+2")
	f.Add("x", "pedal steel", "24 1/4", "2", "C G", "14 17", "", "1-1")
	f.Add("\x00", "", "22 1/0", "1", "C", "", "-1", "+")
	f.Fuzz(func(t *testing.T, title, body, scale, count, tuning, gauges, capo, benders string) {
		n := Instrument{title, body, scale, count, tuning, gauges, capo, benders, true}
		g, err := n.Rig()
		if err != nil {
			var list fault.List
			if g != nil || !errors.As(err, &list) || len(list) == 0 {
				t.Fatalf("%+v: %v, %v", n, g, err)
			}
			for _, x := range list {
				if x.Part == "" || x.Msg == "" {
					t.Fatalf("%+v: a fault without a field: %+v", n, x)
				}
			}
			return
		}
		again, err := rig.Parse(rig.Format(g), "rig")
		if err != nil || !bytes.Equal(rig.Format(again), rig.Format(g)) {
			t.Fatalf("%+v: its file is not read again: %v", n, err)
		}
	})
}

// TestOuterCounts: an instrument has 1 to 16 strings, and what is not such a number is said to be none.
func TestOuterCounts(t *testing.T) {
	for count, tuning := range map[string]string{"1": "D4", " 2 ": "A3 D4", "16": "C2 D2 E2 G2 A2 B2 C3 D3 E3 F3 G3 A3 B3 C4 D4 E4"} {
		f := sixInDAD()
		f.Strings, f.Tuning, f.Gauges = count, tuning, ""
		if g, err := f.Rig(); err != nil || len(g.Strings) != len(strings.Fields(tuning)) {
			t.Errorf("%s strings: %v", count, err)
		}
	}
	for _, count := range []string{"0", "-1", "17", "six", ""} {
		f := sixInDAD()
		f.Strings = count
		if _, err := f.Rig(); err == nil || !strings.Contains(err.Error(), "an instrument has 1 to 16 strings") {
			t.Errorf("%q strings: %v", count, err)
		}
	}
}

// TestLaidOutLikeItsKin: what the form leaves out is that of the first built-in of its kind, an acoustic
// guitar with a raised nut being nearest to a hollow-necked one; and however many strings
// it has, they lie as far apart, to the rounding of the whole width to a millimetre.
func TestLaidOutLikeItsKin(t *testing.T) {
	for body, name := range map[rig.Body]string{
		rig.LapSteel: "bender-open-d", rig.SquareNeckResonator: "reso-open-g", rig.HollowNeckAcoustic: "hollow-neck-open-d",
		rig.RoundNeckAcoustic: "hollow-neck-open-d", rig.PedalSteel: "pedal10-e9",
	} {
		kin, ok := rig.Builtin(name)
		if !ok {
			t.Fatal(name)
		}
		for tuning, count := range map[string]int{"A3 D4": 2, "D2 A2 D3 E3 A3 D4": 6, "A2 C#3 E3 F#3 A3 C#4 E4 F#4": 8} {
			f := sixInDAD()
			f.Body, f.Strings, f.Tuning, f.Gauges = string(body), strconv.Itoa(count), tuning, ""
			g, err := f.Rig()
			if err != nil {
				t.Fatalf("%s with %d strings: %v", body, count, err)
			}
			if g.Steel != kin.Steel || g.Frets != kin.Frets || g.Habits != kin.Habits {
				t.Errorf("%s with %d strings: %+v, %d frets, %+v", body, count, g.Steel, g.Frets, g.Habits)
			}
			gaps, kins := float64(count-1), float64(len(kin.Strings)-1)
			for at, w := range map[string][2]wire.MM{"nut": {g.NutSpread, kin.NutSpread}, "bridge": {g.BridgeSpread, kin.BridgeSpread}} {
				if got, want := float64(w[0])/gaps, float64(w[1])/kins; w[0] > 10 && math.Abs(got-want) > 0.5/gaps {
					t.Errorf("%s with %d strings: %.2f mm from string to string at the %s, the kin has %.2f", body, count, got, at, want)
				}
			}
		}
	}
}

// TestPacketsEnd: the order of a packet is turned only when its thick end would come on the
// higher string.
func TestPacketsEnd(t *testing.T) {
	for _, c := range []struct{ tuning, gauges, first, last string }{
		{"D3 D4", "26w 14", "14", "26w"},
		{"D3 D4", "14 26w", "14", "26w"},
		{"D4 D3", "14 26w", "26w", "14"}, // as the strings lie, though the lower one is the thinner
		{"D3 D3", "26w 14", "14", "26w"}, // in unison as it is written, low to high
		{"D3 D3", "14 26w", "26w", "14"},
	} {
		f := Instrument{Scale: "22.5 in", Strings: "2", Tuning: c.tuning, Gauges: c.gauges}
		g, err := f.Rig()
		if err != nil {
			t.Fatal(err)
		}
		if a, b := retune.GaugeText(g.Strings[0].Wire), retune.GaugeText(g.Strings[1].Wire); a != c.first || b != c.last {
			t.Errorf("%s with %s: string 1 has %s and string 2 %s", c.tuning, c.gauges, a, b)
		}
	}
	f := Instrument{Scale: "22.5 in", Strings: "3", Tuning: "D3 A3 D4", Gauges: "16 20 16"}
	g, err := f.Rig()
	if err != nil || retune.GaugeText(g.Strings[1].Wire) != "20" {
		t.Errorf("%v, %v", g, err)
	}
}

// TestScaleToTheQuarter: quarters of an inch are kept whole (25.4 mm an inch), the shortest and the
// longest scale are allowed, and nothing beyond.
func TestScaleToTheQuarter(t *testing.T) {
	for text, want := range map[string]float64{"24 1/4": 615.95, "24¾": 628.65, "22 7/16": 569.9125, "250 mm": 250, "1000 mm": 1000, "1000": 1000} {
		if got, err := parseScale(text); err != nil || math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("%s: %v mm, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"249.9 mm", "1000.1 mm"} {
		if got, err := parseScale(text); err == nil || !strings.Contains(err.Error(), "250 mm to 1000 mm") {
			t.Errorf("%s: %v mm, %v", text, got, err)
		}
	}
}

// TestLettersClimb: each string lies above the one before it, by an octave where their letters are the
// same; the highest is the one nearest to D4, less than half an octave above it.
func TestLettersClimb(t *testing.T) {
	for text, want := range map[string]string{"D D": "D3 D4", "G G D": "G2 G3 D4", "G G#": "G3 G#3", "D G": "D4 G4", "C B": "C3 B3"} {
		got, err := parseTuning(text)
		if err != nil || retune.TuningText(got) != want {
			t.Errorf("%s: %s, %v, want %s", text, retune.TuningText(got), err, want)
		}
	}
}

// TestBendersToTheEdge: every string of the instrument can be moved and none beside them, each
// unmarked bender takes the next free letter, and what can't be meant is told by what is wrong with it.
func TestBendersToTheEdge(t *testing.T) {
	f := sixInDAD()
	f.Benders = "B pedal 1+1\n6+1\nKNEE 2-1\n3+2"
	g, err := f.Rig()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range g.Benders {
		got = append(got, b.Name)
	}
	if want := []string{"pedal B", "palm A", "knee C", "palm D"}; !slices.Equal(got, want) {
		t.Errorf("benders %q, want %q", got, want)
	}
	for text, want := range map[string]string{
		"0+1":   "names no string: there are 6 strings",
		"7+1":   "names no string: there are 6 strings",
		"x+1":   "names no string: there are 6 strings",
		"+1":    "names no string: there are 6 strings",
		"3 2+1": `"3" is neither a string with its semitones`, // a mark is a letter
		"2+1 A": `"A" is neither a string with its semitones`, // and stands first
		"A B":   `"B" is neither a string with its semitones`,
		"31":    `"31" is neither a string with its semitones`,
		"foot":  `"foot" is neither a string with its semitones`,
		"3+1/2": "no whole number of semitones",
	} {
		f.Benders = text
		if _, err := f.Rig(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	full := "3+1" + strings.Repeat(" ", mostBytes-3)
	if f.Benders = full; true {
		if _, err := f.Rig(); err != nil {
			t.Errorf("%d bytes: %v", len(full), err)
		}
	}
	if f.Benders = full + " "; true {
		if _, err := f.Rig(); err == nil || !strings.Contains(err.Error(), "4097 bytes") {
			t.Errorf("%d bytes: %v", len(full)+1, err)
		}
	}
	alphabet, faults := parseBenders(strings.Repeat("3+1\n", 27), 6, rig.LapSteel)
	if len(faults) > 0 || alphabet[0].Mark != "A" || alphabet[25].Mark != "Z" || alphabet[26].Mark != "" {
		t.Errorf("%v, %+v", faults, alphabet)
	}
	if c, err := parseCapo("0"); err != nil || c != (rig.Capo{}) {
		t.Errorf("no fret for the capo: %+v, %v", c, err)
	}
}
