package workbench

import (
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"lapwright/arrange"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/steel"
)

// form1 opens the studio that was kept in form 1, as this program finds it.
func form1(t *testing.T) *studio.Studio { return keptIn(t, "form1") }

func keptIn(t *testing.T, form string) *studio.Studio {
	t.Helper()
	b, err := os.ReadFile("../studio/testdata/" + form + "/studio.db")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, studio.FileName), b, 0o600); err != nil {
		t.Fatal(err)
	}
	st, err := studio.Open(t.Context(), dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

// TestGripsOfForm1AreStillPlayed reads every kept grip of form 1 for its rig.
func TestGripsOfForm1AreStillPlayed(t *testing.T) {
	st := form1(t)
	find := func(ref string) (*rig.Rig, error) { return FindRig(t.Context(), st, ref) }
	list, err := st.List(t.Context(), studio.Grip)
	if err != nil || len(list) != 9 {
		t.Fatalf("%d grips, %v", len(list), err)
	}
	kinds := map[steel.Kind]bool{}
	for _, h := range list {
		it, err := st.Get(t.Context(), h.ID)
		if err != nil {
			t.Fatal(err)
		}
		b, err := ReadGrip(it.Body, find)
		if strings.HasPrefix(it.Title, "Gm") {
			// It engages the bender that went with the rig's last revision, or not.
			if strings.Contains(it.Body, `"A"`) || err == nil && b.Benders != 1 {
				t.Errorf("%s came as %s: %+v, %v", it.Title, it.Body, b, err)
			}
			if err != nil && !strings.Contains(err.Error(), "needs bender") {
				t.Errorf("%s: %v", it.Title, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s, kept as %s: %v", it.Title, it.Body, err)
			continue
		}
		kinds[b.Placement.Kind] = true
		again, err := b.Text()
		if err != nil || again != it.Body {
			t.Errorf("%s is kept as %s and would be now as %s (%v)", it.Title, it.Body, again, err)
		}
	}
	if len(kinds) != 6 {
		t.Errorf("%d ways of laying the steel were met, of 6", len(kinds))
	}
}

// TestPinsKeepTheirBendersByLetter: a pin follows its bender when benders change
// places, and sleeps, saying so, when it is gone.
func TestPinsKeepTheirBendersByLetter(t *testing.T) {
	g, _ := rig.Builtin("bender-open-d")
	pinned := []string{"B"}
	as := 0
	extra, err := json.Marshal(report.TuneSettings{Wishes: map[string]report.Wishes{g.Name: {Octave: &as, Key: "D", Pins: []report.Pin{
		{Bar: 1, At: "0", Grip: [][2]int{{2, 0}}, Benders: &pinned, Words: "as typed"},
	}}}})
	if err != nil {
		t.Fatal(err)
	}
	it := &studio.Item{Content: studio.Content{Body: "X:1\nT:Slack Water\nM:4/4\nL:1/4\nK:D\nB,A,DE|\n", Extra: extra}}
	engaged := func(g *rig.Rig) (letters string, asleep []string) {
		t.Helper()
		shown, err := Place(t.Context(), it, g)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Join(report.Marks(g, shown.Result.Tab.Strokes[0].Benders), ""), shown.Placed.Asleep
	}
	if l, asleep := engaged(g); l != "B" || len(asleep) != 0 {
		t.Errorf("the pin engages %q, asleep %q", l, asleep)
	}
	turned := g.Clone()
	turned.Benders[0], turned.Benders[1] = turned.Benders[1], turned.Benders[0]
	if l, asleep := engaged(turned); l != "B" || len(asleep) != 0 {
		t.Errorf("with the benders changed about the pin engages %q, asleep %q", l, asleep)
	}
	short := g.Clone()
	short.Benders = short.Benders[:1]
	if l, asleep := engaged(short); l != "" || strings.Join(asleep, ";") != "bar 1: as typed needs bender B, which this instrument does not have" {
		t.Errorf("without the bender the pin engages %q, asleep %q", l, asleep)
	}
}

// TestNoSheetChangesUnasked: tunes kept with a player's level, or with nothing asked, are
// placed whole and plucked, with the limits and the harmony that they had.
func TestNoSheetChangesUnasked(t *testing.T) {
	st := keptIn(t, "form2")
	list, err := st.List(t.Context(), studio.Tune)
	if err != nil || len(list) != 2 {
		t.Fatalf("%d tunes, %v", len(list), err)
	}
	plain := arrange.Options{Touch: arrange.PlainTouch}
	with := func(change func(o *arrange.Options)) arrange.Options {
		o := plain
		change(&o)
		return o
	}
	as := 0
	for _, c := range []struct {
		title    string
		revision int
		rig      string
		want     arrange.Options
	}{
		{"Slack Water Lesson", 1, "reso-open-g", with(func(o *arrange.Options) { o.Grade, o.Whole = arrange.FirstGrade, true })},
		{"Slack Water Lesson", 1, "lap6-c6", with(func(o *arrange.Options) { o.Grade, o.Harmony, o.Closed = arrange.ThirdGrade, arrange.NoHarmony, true })},
		{"Slack Water Lesson", 1, "lap8-a6", arrange.Options{Grade: arrange.ThirdGrade, Touch: arrange.LightTouch, Harmony: arrange.Thirds}},
		{"Slack Water Lesson", 1, "pedal10-e9", with(func(o *arrange.Options) { o.Octave = &as })},
		{"Slack Water Lesson", 1, "tricone-open-d", plain},
		{"Slack Water Lesson", 2, "reso-open-g", with(func(o *arrange.Options) { o.Grade, o.Whole, o.Square = arrange.FirstGrade, true, true })},
		{"Nothing Asked", 1, "lap8-c13", plain},
	} {
		i := slices.IndexFunc(list, func(h *studio.Heading) bool { return h.Title == c.title })
		it, err := st.GetRevision(t.Context(), list[i].ID, c.revision)
		if err != nil {
			t.Fatal(err)
		}
		x, left, err := ReadSettings(it)
		if err != nil || len(left) > 0 {
			t.Fatalf("%s: %v left out, %v", it.Extra, left, err)
		}
		g, _ := rig.Builtin(c.rig)
		if got, err := optionsOf(wishesFor(&x, c.rig), g, 0); err != nil || !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s, revision %d on %s: %+v, %v; want %+v", c.title, c.revision, c.rig, got, err, c.want)
		}
		shown, err := Place(t.Context(), it, g)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range shown.Result.Tab.Added {
			if c.want.Touch == arrange.PlainTouch || a.Kind.Note() && c.want.Harmony == arrange.NoHarmony {
				t.Errorf("%s, revision %d on %s: %s is added", c.title, c.revision, c.rig, a.Text())
			}
		}
		if n := len(shown.Result.Tab.LeftOut); n > 0 {
			t.Errorf("%s, revision %d on %s: %d notes are left out", c.title, c.revision, c.rig, n)
		}
	}
}
