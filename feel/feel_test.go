package feel

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"lapwright/tune"
)

// Every figure has one sign a slot in each line, begins its part with a bass or with
// all, and puts its weight where the part has a stroke.
func TestFigures(t *testing.T) {
	if len(feels) < 8 {
		t.Fatalf("%d feels", len(feels))
	}
	for _, f := range All() {
		for i := range f.Figures {
			g := &f.Figures[i]
			name := fmt.Sprintf("%s in %d/%d", f.Name, g.Beats, g.Unit)
			slots := len(g.Accents)
			if g.Meter().Len()%tune.Ticks(slots) != 0 {
				t.Errorf("%s: %d slots do not part the bar", name, slots)
			}
			for what, l := range map[string]Line{"part": g.Part, "bass": g.Bass, "guitar": g.Guitar, "brush": g.Brush} {
				if len(l) != slots {
					t.Errorf("%s: the %s has %d slots of %d", name, what, len(l), slots)
				}
				if bad := strings.Trim(string(l), ".-bfsacwlmhpxtzk"); bad != "" {
					t.Errorf("%s: the %s has %q", name, what, bad)
				}
			}
			if bass, _ := Sign(g.Part[0]).Plays(); !bass {
				t.Errorf("%s begins with %q", name, g.Part[0])
			}
			if !strings.Contains(g.Accents, ">") {
				t.Errorf("%s has no weight anywhere", name)
			}
			for k := range slots {
				if g.Accents[k] == '>' && !Sign(g.Part[k]).Begins() {
					t.Errorf("%s: weight at slot %d, where nothing is struck", name, k)
				}
			}
		}
		if got, err := Find(strings.ToUpper(strings.ReplaceAll(f.Name, " ", "-"))); err != nil || got != f {
			t.Errorf("%s is found as %v, %v", f.Name, got, err)
		}
	}
	if _, err := Find("nothing"); err == nil || !strings.Contains(err.Error(), "boom-chuck") {
		t.Errorf("an unknown feel: %v", err)
	}
}

// docs/backup.md prints the list.
func TestDocument(t *testing.T) {
	b, err := os.ReadFile("../docs/backup.md")
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	for _, f := range All() {
		fmt.Fprintf(&want, "\n### %s\n\n%s. For %s. %s%s; chords %s.\n\n", f.Name, strings.ToUpper(f.Words[:1])+f.Words[1:], f.Suits,
			strings.ToUpper(f.Swing.Words()[:1]), f.Swing.Words()[1:], f.Colour)
		want.WriteString("| meter | weight | part | bass | guitar | brush |\n|---|---|---|---|---|---|\n")
		for _, g := range f.Figures {
			fmt.Fprintf(&want, "| %d/%d | `%s` | `%s` | `%s` | `%s` | `%s` |\n", g.Beats, g.Unit, g.Accents, g.Part, g.Bass, g.Guitar, g.Brush)
		}
	}
	if !strings.Contains(string(b), want.String()) {
		t.Errorf("docs/backup.md does not print this:\n%s", want.String())
	}
}

func TestStrokes(t *testing.T) {
	f, _ := Find("boom-chuck")
	g, _ := f.Figure(tune.Meter{Beats: 2, Unit: 2})
	got := g.Strokes(g.Part, 0, tune.Whole, false)
	q, e := tune.Whole/4, tune.Whole/8
	want := []Stroke{{0, q, Bass, false}, {q, e, Grip, true}, {2 * q, q, Fifth, false}, {3 * q, e, Grip, true}}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%v, want %v", got, want)
	}
	// The second half of a bar, cut short in its last stroke.
	got = g.Strokes(g.Part, 2*q+e, 3*q+e/2, false)
	if fmt.Sprint(got) != fmt.Sprint([]Stroke{{3 * q, e / 2, Grip, true}}) {
		t.Errorf("cut: %v", got)
	}
	// A chord on the second beat begins the line anew; the weight stays.
	got = g.Strokes(g.Part, q, 3*q, true)
	if fmt.Sprint(got) != fmt.Sprint([]Stroke{{q, q, Bass, true}, {2 * q, e, Grip, false}}) {
		t.Errorf("anew: %v", got)
	}
}

func TestIn(t *testing.T) {
	f, _ := Find("vamp")
	if g, err := f.In(tune.Meter{Beats: 6, Unit: 8}); err != nil || g.Part != "b-cf-c" {
		t.Errorf("a vamp in 6/8: %v, %v", g, err)
	}
	g, err := f.In(tune.Meter{Beats: 5, Unit: 4})
	if err != nil || g.Part != "bcccc" || g.Accents != ">...." {
		t.Errorf("in 5/4: %v, %v", g, err)
	}
	if _, err := f.In(tune.Meter{}); err == nil {
		t.Error("free meter has an accompaniment")
	}
}

func TestFor(t *testing.T) {
	for _, c := range []struct {
		beats, unit  int
		rhythm, want string
	}{
		{4, 4, "", "boom-chuck"}, {3, 4, "", "waltz"}, {6, 8, "", "jig"}, {6, 8, "slip jig", "jig"}, {4, 4, "Swing", "swing"},
		{3, 4, "slow air", "ballad"}, {4, 4, "waltz", "boom-chuck"}, {4, 4, "blues", "shuffle"},
	} {
		if got := For(tune.Meter{Beats: c.beats, Unit: c.unit}, c.rhythm); got.Name != c.want {
			t.Errorf("%d/%d %q: %s, want %s", c.beats, c.unit, c.rhythm, got.Name, c.want)
		}
	}
}
