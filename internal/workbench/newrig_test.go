package workbench

import (
	"errors"
	"math"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
)

// sixInDAD is a form for a six-string lap steel in a tuning that no built-in has.
func sixInDAD() NewRig {
	return NewRig{Body: "lap steel", Scale: "22.5 in", Strings: "6", Tuning: "D2 A2 D3 E3 A3 D4", Gauges: ".014 .018 .026w .030w .036w .056w"}
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
		form := sixInDAD()
		form.Gauges = gauges
		c, err := form.Content(nil)
		if err != nil {
			t.Fatal(err)
		}
		g, err := rig.Parse([]byte(c.Body), "rig")
		if err != nil {
			t.Fatal(err)
		}
		if c.Title != "Lap steel in D2 A2 D3 E3 A3 D4" || g.Scale != 571.5 || g.TuningText() != "D2 A2 D3 E3 A3 D4" || g.Name != "lap-steel-in-d2-a2-d3-e3-a3-d4" {
			t.Errorf("%s: %q, %v mm, %s, %s", gauges, c.Title, g.Scale, g.TuningText(), g.Name)
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
		form := sixInDAD()
		form.Gauges, form.Body, form.Scale, form.Title = "", string(body), "25 in", "Nameless"
		g, err := form.Rig(nil)
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
	for field, spoil := range map[string]func(*NewRig){
		"body": func(n *NewRig) { n.Body = "lute" }, "scale": func(n *NewRig) { n.Scale = "" }, "strings": func(n *NewRig) { n.Strings = "17" },
		"tuning": func(n *NewRig) { n.Tuning = "D2 A2" }, "gauges": func(n *NewRig) { n.Gauges = "14 16" }, "title": func(n *NewRig) { n.Title = strings.Repeat("long ", 60) },
	} {
		form := sixInDAD()
		spoil(&form)
		_, err := form.Rig(nil)
		var list fault.List
		if !errors.As(err, &list) || len(list) != 1 || list[0].Part != field {
			t.Errorf("%s spoilt: %v", field, err)
		}
		if d := form.Draft(); len(d.Said.Said) != 1 || d.Said.Said[0].Part != field || d.Strings != nil {
			t.Errorf("%s spoilt: the draft says %+v", field, d.Said.Said)
		}
	}
	form := sixInDAD()
	if d := form.Draft(); len(d.Said.Said) != 0 || len(d.Strings) != 6 || d.Load == "" {
		t.Errorf("the draft of a good form: %+v", d)
	}
}

// TestNamesAreApart: a second instrument of the same name goes by another short
// name, since lessons' folders are named by it.
func TestNamesAreApart(t *testing.T) {
	form := sixInDAD()
	first, err := form.Rig(nil)
	if err != nil {
		t.Fatal(err)
	}
	second, err := form.Rig([]RigChoice{{Rig: first}})
	if err != nil || second.Name == first.Name {
		t.Errorf("%v, %v", second, err)
	}
}

// TestTitleFollowsTheTuning: a copy's title tells what it is tuned to now; one
// that never told it stays.
func TestTitleFollowsTheTuning(t *testing.T) {
	base, _ := rig.Builtin("lap6-c6")
	for title, want := range map[string]string{
		"":                     "My Six-string lap steel in C3 E3 G3 A3 C4 D4",
		"Old one in C6, blue":  "Old one in C3 E3 G3 A3 C4 D4, blue",
		"In C64":               "In C64",
		"One in C64":           "One in C64",
		"Old one in C6 (blue)": "Old one in C3 E3 G3 A3 C4 D4 (blue)",
		"Rosa":                 "Rosa",
	} {
		g := OwnCopy(base, nil)
		if title != "" {
			g.Title = title
		}
		text, err := (&RigEdit{report.AskedRigEdit{Text: string(rig.Format(g)), String: &report.StringEdit{Number: 1, Open: "D4", Gauge: "14"}}}).Apply()
		if err != nil {
			t.Fatal(err)
		}
		if got, err := RigContent(text); err != nil || got.Title != want {
			t.Errorf("%q became %q, %v, want %q", title, got.Title, err, want)
		}
		// Back in the tuning that has a name, the title has it again.
		text, err = (&RigEdit{report.AskedRigEdit{Text: text, String: &report.StringEdit{Number: 1, Open: "E4", Gauge: "14"}}}).Apply()
		if got, _ := RigContent(text); err != nil || title == "" && !strings.HasSuffix(got.Title, "in C6") {
			t.Errorf("back again %q became %q, %v", title, got.Title, err)
		}
	}
}
