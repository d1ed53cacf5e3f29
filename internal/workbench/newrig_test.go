package workbench

import (
	"strings"
	"testing"

	"lapwright/report"
	"lapwright/retune/form"
	"lapwright/rig"
)

// TestNamesAreApart: a second instrument of the same name goes by another short
// name, since lessons' folders are named by it.
func TestNamesAreApart(t *testing.T) {
	f := &form.Instrument{Body: "lap steel", Scale: "22.5 in", Strings: "6", Tuning: "D2 A2 D3 E3 A3 D4", Gauges: ".014 .018 .026w .030w .036w .056w"}
	first, err := f.Rig()
	if err != nil {
		t.Fatal(err)
	}
	c, err := MakeRig(f, []RigChoice{{Rig: first}})
	if err != nil {
		t.Fatal(err)
	}
	if second, err := rig.Parse([]byte(c.Body), "rig"); err != nil || second.Name == first.Name || c.Title != first.Title {
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

// TestDraftSaysWhichField: what is wrong in a form names its field, and what is
// right is shown as a table.
func TestDraftSaysWhichField(t *testing.T) {
	f := form.Instrument{Body: "lap steel", Scale: "22.5 in", Strings: "6", Tuning: "D2 A2 D3 E3 A3 D4", Gauges: ".014 .018 .026w .030w .036w .056w"}
	if d := DraftRig(&f); len(d.Said.Said) != 0 || len(d.Strings) != 6 || d.Load == "" {
		t.Errorf("the draft of a good form: %+v", d)
	}
	f.Scale = ""
	if d := DraftRig(&f); len(d.Said.Said) != 1 || d.Said.Said[0].Part != "scale" || d.Strings != nil {
		t.Errorf("a scale left out: %+v", d.Said.Said)
	}
}
