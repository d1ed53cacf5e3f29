package workbench

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/steel"
)

// form1 opens the studio that was kept in form 1, as this program finds it.
func form1(t *testing.T) *studio.Studio {
	t.Helper()
	b, err := os.ReadFile("../studio/testdata/form1/studio.db")
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
