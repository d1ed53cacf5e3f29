package picture_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/listen/picture"
	"lapwright/notation/abc"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tab"
)

// placed places a tune on a rig.
func placed(t *testing.T, text string) *tab.Tab {
	t.Helper()
	tunes, _, err := abc.Read([]byte(text), "a.abc")
	if err != nil {
		t.Fatal(err)
	}
	res, err := arrange.Arrange(context.Background(), tunes[0], rigtest.Builtin(t, "lap6-c6"), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// taken is what a take did that played every note of a tab once a pass, in time and cents off.
func taken(tb *tab.Tab, cents float64) *listen.Reviewed {
	v := &listen.Reviewed{}
	perf := tb.Performance()
	for p, pass := range perf.Passes {
		for i := range tb.Strokes {
			st := &tb.Strokes[i]
			if st.BarIndex != pass.BarIndex {
				continue
			}
			at := pass.Start + st.At
			s := perf.Clock.Seconds(at)
			v.Path = append(v.Path, listen.Place{Seconds: s, PassIndex: p, At: at, Joined: len(v.Path) > 0})
			for k := range st.Plucks {
				v.Notes = append(v.Notes, listen.Note{
					BarNumber: tb.Tune.Bars[pass.BarIndex].Number, PassIndex: p, At: at, Len: st.Plucks[k].Len, String: st.Plucks[k].String, Fret: st.Plucks[k].Fret,
					Status: listen.Played, Onset: s, Until: s + 0.4, Late: math.NaN(), Cents: cents, CentsJust: math.NaN(), SteelMM: math.NaN(), Sure: true,
					Curve: []listen.Moment{{At: s + 0.05, Cents: cents}, {At: s + 0.2, Cents: cents}, {At: s + 0.22, Cents: cents}},
				})
			}
		}
	}
	return v
}

// lanes lays a tab with the lanes of a review and returns the groups of a class.
func lanes(t *testing.T, tb *tab.Tab, v *listen.Reviewed, class string) (groups []*draw.Group, d *draw.Drawing) {
	t.Helper()
	d, err := sheet.Lay(tb, sheet.Options{Lane: picture.New(v, tb, nil).Lane})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[*draw.Group]bool{}
	for _, p := range d.Pages {
		p.Walk(func(in []*draw.Group, it draw.Item) {
			for _, g := range in {
				if g.Class == class && !seen[g] {
					seen[g] = true
					groups = append(groups, g)
				}
			}
		})
	}
	return groups, d
}

const twice = "X:1\nT:Twice\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n|:C E G c|A G E2:|\nF A c A|G4|]\n"

// TestEveryNoteStandsOnce: bars that are played twice have two lanes, every note has
// its mark once, straight over the stroke of the tab that it belongs to.
func TestEveryNoteStandsOnce(t *testing.T) {
	tb := placed(t, twice)
	v := taken(tb, 0)
	played, d := lanes(t, tb, v, "played")
	if len(v.Notes) < 15 || len(played) != len(v.Notes) {
		t.Fatalf("%d marks of %d notes", len(played), len(v.Notes))
	}
	takes, _ := lanes(t, tb, v, "take")
	lines := map[string]bool{}
	for _, g := range takes {
		lines[fmt.Sprintf("%.1f", g.Bounds().Y0)] = true
	}
	if len(takes) < 2 || len(lines) != len(takes) {
		t.Errorf("%d lanes at %d heights, want two over the bars that are played twice", len(takes), len(lines))
	}
	// Where the strokes stand, by bar and place in it.
	strokes := map[string]float64{}
	for _, p := range d.Pages {
		p.Walk(func(in []*draw.Group, _ draw.Item) {
			for _, g := range in {
				if g.Class == "stroke" {
					b := g.Bounds()
					strokes[key(g, "bar")+" "+key(g, "at")] = (b.X0 + b.X1) / 2
				}
			}
		})
	}
	perf := tb.Performance()
	for i, n := range v.Notes {
		pass := perf.Passes[n.PassIndex]
		want, ok := strokes[fmt.Sprintf("%d %s", pass.BarIndex, n.At-pass.Start)]
		var mark draw.Rect
		for _, g := range played {
			if key(g, "note") == fmt.Sprint(i) {
				for _, it := range g.Items {
					if b, is := it.(draw.Box); is {
						mark = b.Bounds()
					}
				}
			}
		}
		if got := (mark.X0 + mark.X1) / 2; !ok || math.Abs(got-want) > 2.5 {
			t.Errorf("note %d stands at %.1f mm, its stroke at %.1f (%v)", i, got, want, ok)
		}
	}
}

func key(g *draw.Group, name string) string {
	for _, k := range g.Keys {
		if k.Name == name {
			return k.Value
		}
	}
	return ""
}

// TestMarksTellByShapeAndHeight: sharp points up over the middle, flat down under it,
// and what lies beyond the lane has its figure.
func TestMarksTellByShapeAndHeight(t *testing.T) {
	tb := placed(t, twice)
	for _, c := range []struct {
		cents    float64
		up, down bool
		text     string
	}{{0, false, false, ""}, {4, false, false, ""}, {12, true, false, ""}, {-12, false, true, ""}, {44, true, false, "+44"}, {-60, false, true, "−60"}} {
		played, _ := lanes(t, tb, taken(tb, c.cents), "played")
		var up, down, round int
		texts := ""
		for _, g := range played {
			for _, it := range g.Items {
				switch it := it.(type) {
				case draw.Path:
					if len(it.Steps) != 4 || it.Width > 0 {
						continue // the curve
					}
					if it.Steps[0].P[0].Y < it.Steps[1].P[0].Y {
						up++
					} else {
						down++
					}
				case draw.Box:
					round++
				case draw.Text:
					texts += it.S
				}
			}
		}
		if (up == len(played)) != c.up || (down == len(played)) != c.down || (round == len(played)) == (c.up || c.down) {
			t.Errorf("%g cents: of %d marks %d point up, %d down, %d are round", c.cents, len(played), up, down, round)
		}
		if !strings.Contains(texts, c.text) {
			t.Errorf("%g cents: the marks say %q, want %q", c.cents, texts, c.text)
		}
	}
}

// TestStatusHasItsMark: what was missed, wrong or too many can be told apart in black
// and white.
func TestStatusHasItsMark(t *testing.T) {
	tb := placed(t, twice)
	v := taken(tb, 0)
	v.Notes[0].Status, v.Notes[1].Status = listen.Missed, listen.Wrong
	v.Notes[2].Right = true
	v.Extra = []listen.Extra{{Onset: v.Notes[3].Onset + 0.3}}
	played, _ := lanes(t, tb, v, "played")
	kinds := map[string]string{}
	for _, g := range played {
		s := ""
		for _, it := range g.Items {
			s += fmt.Sprintf("%T ", it)
		}
		kinds[key(g, "note")] = s
	}
	if kinds["0"] != "draw.Rule draw.Rule " || kinds["1"] != "draw.Path " || kinds["2"] == kinds["3"] {
		t.Errorf("marks %q", kinds)
	}
	if extra, _ := lanes(t, tb, v, "extra"); len(extra) != 1 {
		t.Errorf("%d marks of one note too many", len(extra))
	}
}

// TestOff: common practice, no source: who plays a third between equal temperament and the just
// chord is not out of tune.
func TestOff(t *testing.T) {
	for _, c := range []struct{ equal, just, want float64 }{
		{7, math.NaN(), 7}, {-8, 6, 0}, {-14, 0, 0}, {-20, -6, -6}, {3, 17, 3}, {0, 14, 0},
	} {
		if got := picture.Off(c.equal, c.just); got != c.want {
			t.Errorf("%g from equal, %g from just: %g off, want %g", c.equal, c.just, got, c.want)
		}
	}
}
