package rig

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/pitch"
	"lapwright/wire"
)

// Every built-in rig reads, is sound, and comes back the same from its own
// formatted text.
func TestBuiltinsRoundTrip(t *testing.T) {
	all := Builtins()
	if len(all) != len(builtinOrder) || len(all) == 0 {
		t.Fatalf("%d built-in rigs, want %d", len(all), len(builtinOrder))
	}
	for _, r := range all {
		if l := r.Check(); len(l) > 0 {
			t.Errorf("%s: %v", r.Name, l)
		}
		text := Format(r)
		back, err := Parse(text, r.Name)
		if err != nil {
			t.Errorf("%s: its own text does not read: %v\n%s", r.Name, err, text)
			continue
		}
		if d := cmp.Diff(r, back); d != "" {
			t.Errorf("%s changed on the way through its text:\n%s", r.Name, d)
		}
		if again := Format(back); string(again) != string(text) {
			t.Errorf("%s: formatting twice differs:\n%s\n%s", r.Name, text, again)
		}
		if src, ok := BuiltinSource(r.Name); !ok || !strings.Contains(string(src), "common practice, no source") {
			t.Errorf("%s: its file does not say where its figures are from", r.Name)
		}
	}
	if _, ok := Builtin("no-such-rig"); ok {
		t.Error("a rig that is not built in was found")
	}
}

// The tunings of the built-in rigs, low to high (common practice, no source).
func TestBuiltinTunings(t *testing.T) {
	for name, want := range map[string]string{
		"reso-open-g":        "G2 B2 D3 G3 B3 D4",
		"tricone-open-d":     "D2 A2 D3 F#3 A3 D4",
		"hollow-neck-open-d": "D2 A2 D3 F#3 A3 D4",
		"bender-open-d":      "D2 A2 D3 F#3 A3 D4",
		"lap6-c6":            "C3 E3 G3 A3 C4 E4",
		"lap8-c13":           "C2 Bb2 C3 E3 G3 A3 C4 E4",
		"lap8-a6":            "F#2 A2 C#3 E3 F#3 A3 C#4 E4",
		"pedal10-e9":         "B2 D3 E3 F#3 G#3 B3 E4 G#4 D#4 F#4",
	} {
		r, ok := Builtin(name)
		if !ok {
			t.Errorf("%s is not built in", name)
			continue
		}
		if got := r.TuningText(); got != want {
			t.Errorf("%s is tuned %q, want %q", name, got, want)
		}
	}
}

// What benders sound, from common practice (no source): in open D string 3 up
// one and string 2 up two make G B D of strings 4-3-2; the usual pedals A and B
// of a ninth tuning turn its E chord into A.
func TestBenderChords(t *testing.T) {
	for _, c := range []struct {
		rig     string
		set     BenderSet
		strings []int
		want    string
	}{
		{"bender-open-d", 0b11, []int{4, 3, 2}, "D3 G3 B3"},
		{"bender-open-d", 0b10, []int{4, 3, 2}, "D3 F#3 B3"},
		{"pedal10-e9", 0b11, []int{8, 6, 5, 4, 3}, "E3 A3 C#4 E4 A4"},
		{"pedal10-e9", 0b1000, []int{8, 4}, "E#3 E#4"},
		{"pedal10-e9", 0b10000, []int{8, 4}, "D#3 D#4"},
		{"pedal10-e9", 0b101, []int{5, 4}, "C#4 F#4"}, // A and C both raise string 5, by the same pull
	} {
		r, _ := Builtin(c.rig)
		var got []string
		for _, s := range c.strings {
			got = append(got, pitch.SpellKey(r.OpenKey(s, c.set), 4).String())
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s with benders %b: strings %v sound %v, want %s", c.rig, c.set, c.strings, got, c.want)
		}
	}
}

// atTheCapo writes what the open strings sound, low to high.
func atTheCapo(r *Rig) string {
	var out []string
	for _, s := range slices.Backward(r.Strings) {
		out = append(out, s.Open.String())
	}
	return strings.Join(out, " ")
}

// Taking the capo off gives the rig back, whichever fret it was at.
func TestWithoutCapo(t *testing.T) {
	tried := 0
	for _, r := range Builtins() {
		r.Capo.Highest = 12
		if len(r.Check()) > 0 {
			t.Fatalf("%s: %v", r.Name, r.Check())
		}
		for fret := range 13 {
			at, err := r.WithCapo(fret)
			if err != nil {
				continue // the strings would rise above what an open string may be
			}
			tried++
			back := at.WithoutCapo()
			nanometre := cmp.Comparer(func(a, b wire.MM) bool { return math.Abs(float64(a-b)) < 1e-6 })
			if d := cmp.Diff(r, back, nanometre); d != "" {
				t.Errorf("%s from fret %d: %s", r.Name, fret, d)
			}
			if got := at.TuningText(); got != r.TuningText() {
				t.Errorf("%s at fret %d is tuned %s, want %s", r.Name, fret, got, r.TuningText())
			}
		}
	}
	if tried < 80 {
		t.Errorf("only %d places of a capo were tried", tried)
	}
}

// Open E is open D with the sliding capo at fret 2 (common practice).
func TestWithCapo(t *testing.T) {
	r, _ := Builtin("bender-open-d")
	e, err := r.WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	if got := atTheCapo(e); got != "E2 B2 E3 G#3 B3 E4" {
		t.Errorf("at fret 2 it sounds %q, want open E", got)
	}
	if got := e.TuningWords(); got != "D2 A2 D3 F#3 A3 D4; capo at 2" {
		t.Errorf("at fret 2 its tuning is told as %q", got)
	}
	if got := e.PrettyTuning(); got != "D2 A2 D3 F♯3 A3 D4; capo at 2" {
		t.Errorf("at fret 2 its tuning is set as %q", got)
	}
	if want := float64(r.Scale) * math.Exp2(-2.0/12); math.Abs(float64(e.Scale)-want) > 1e-9 {
		t.Errorf("scale %g, want %g", e.Scale, want)
	}
	if e.Frets != r.Frets-2 || e.Capo.At != 2 || e.Capo.Highest != r.Capo.Highest {
		t.Errorf("frets %d, capo %+v", e.Frets, e.Capo)
	}
	// The spread at the capo is that of the straight line between nut and bridge.
	share := 1 - math.Exp2(-2.0/12)
	if want := float64(r.NutSpread) + share*float64(r.BridgeSpread-r.NutSpread); math.Abs(float64(e.NutSpread)-want) > 1e-9 || e.BridgeSpread != r.BridgeSpread {
		t.Errorf("spread %g to %g, want %g to %g", e.NutSpread, e.BridgeSpread, want, r.BridgeSpread)
	}
	// The pull does not change: the string is the same, shorter and higher.
	for i := range r.Strings {
		a := r.Strings[i].Wire.Tension(r.Scale, r.Strings[i].Open.Hz(440))
		b := e.Strings[i].Wire.Tension(e.Scale, e.Strings[i].Open.Hz(440))
		if math.Abs(float64(a-b)) > 1e-9*float64(a) {
			t.Errorf("string %d pulls %g N without the capo and %g N with it", i+1, a, b)
		}
	}
	if r.Capo.At != 0 || r.Strings[0].Open.String() != "D4" {
		t.Error("the rig itself was changed")
	}
	if back, err := e.WithCapo(2); err != nil || back.Scale != e.Scale {
		t.Errorf("placing it where it is: %v, %v", back, err)
	}
	if text := Format(e); !strings.Contains(string(text), "at = 2\n") {
		t.Errorf("its text does not say where the capo is:\n%s", text)
	} else if back, err := Parse(text, "e"); err != nil || !cmp.Equal(back, e) {
		t.Errorf("it does not come back from its text: %v\n%s", err, cmp.Diff(e, back))
	}
	flat, _ := Builtin("bender-open-d")
	if got := atTheCapo(must(t, flat, 1)); got != "Eb2 Bb2 Eb3 G3 Bb3 Eb4" {
		t.Errorf("at fret 1 it sounds %q", got)
	}
	for name, c := range map[string]struct {
		r    *Rig
		fret int
		say  string
	}{
		"beyond its reach": {r, 8, `"8" was asked for`},
		"negative":         {r, -1, `"-1"`},
		"twice":            {e, 3, "already has its capo at fret 2"},
		"off again":        {e, 0, "already has its capo"},
	} {
		if got, err := c.r.WithCapo(c.fret); err == nil || got != nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s: got %v, %v", name, got, err)
		}
	}
	none, _ := Builtin("lap6-c6")
	if _, err := none.WithCapo(1); err == nil || !strings.Contains(err.Error(), "no capo") {
		t.Errorf("a capo on a rig without one: %v", err)
	}
}

func must(t *testing.T, r *Rig, fret int) *Rig {
	t.Helper()
	out, err := r.WithCapo(fret)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestUnits(t *testing.T) {
	for text, want := range map[string]float64{
		"25 in": 635, "25in": 635, ".016 in": 0.4064, "635 mm": 635, "63.5 cm": 635, " 1e2 mm ": 100, "+5 mm": 5, "-5 mm": -5,
	} {
		if got, err := ParseLength(text); err != nil || math.Abs(float64(got)-want) > 1e-12 {
			t.Errorf("%q: got %g, %v, want %g mm", text, got, err, want)
		}
	}
	for text, want := range map[string]float64{"900 N": 900, "200 lb": 889.6443230521, "10 kg": 98.0665} {
		if got, err := ParseLoad(text); err != nil || math.Abs(float64(got)-want) > 1e-9 {
			t.Errorf("%q: got %g, %v, want %g N", text, got, err, want)
		}
	}
	for _, text := range []string{"", "in", "25", "25 inches", "25 IN", "1/4 in", "0x10 mm", "1_000 mm", "nan mm", "inf mm", "1e400 mm", "25 in in", "२५ mm"} {
		if got, err := ParseLength(text); err == nil {
			t.Errorf("%q was read as %g", text, got)
		}
	}
	for v, want := range map[wire.MM]string{
		wire.Inch * 25: "25 in", 635.5: "635.5 mm", wire.Inch * 0.016: "0.016 in", 52: "52 mm", 0.3: "0.3 mm",
	} {
		if got := formatQuantity(float64(v), lengthUnits[:2]); got != want {
			t.Errorf("%g: got %q, want %q", v, got, want)
		}
	}
}
