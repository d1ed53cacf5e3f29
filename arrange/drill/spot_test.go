package drill

import (
	"context"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/tab"
)

// demo places a tune of the demo lesson.
func demo(t *testing.T, name, rigName string) *tab.Tab {
	t.Helper()
	src, err := os.ReadFile("../../internal/lesson/demo/" + name)
	if err != nil {
		t.Fatal(err)
	}
	tunes, _, err := abc.Read(src, name)
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin(rigName)
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Level: grip.Seasoned})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// in lists the strokes of bars as printed; all of them for none.
func in(tb *tab.Tab, bars ...int) []*tab.Stroke {
	var out []*tab.Stroke
	for i := range tb.Strokes {
		if len(bars) == 0 || slices.Contains(bars, tb.Tune.Bars[tb.Strokes[i].BarIndex].Number) {
			out = append(out, &tb.Strokes[i])
		}
	}
	return out
}

// stop is a string at a fret.
type stop struct {
	str  int
	fret int
}

func stopsFor(strokes []*tab.Stroke) map[stop]bool {
	out := map[stop]bool{}
	for _, st := range strokes {
		for _, p := range st.Plucks {
			out[stop{p.String, int(math.Round(p.Fret))}] = true
		}
	}
	return out
}

func strokesOf(d *Drill) []*tab.Stroke { return in(d.Tab) }

// Exercises for a place are whole, exact, and have its strings and frets, on every kind of
// instrument.
func TestPlaces(t *testing.T) {
	own := 0
	for _, name := range []string{"low-tide-steps.abc", "slack-water.abc"} {
		for _, rigName := range []string{"lap6-c6", "reso-open-g", "hollow-neck-open-d", "pedal10-e9"} {
			tb := demo(t, name, rigName)
			for k := range spotKinds {
				kind := SpotKind(k)
				strokes := in(tb, 5, 6)
				d, err := At(context.Background(), tb, Spot{Kind: kind, Strokes: strokes, String: 2})
				if err != nil {
					t.Errorf("%s on %s, kind %d: %v", name, rigName, k, err)
					continue
				}
				if l := d.Tab.Check(); len(l) > 0 || len(d.Tab.Compromises) > 0 || len(d.Tab.Strokes) == 0 {
					t.Errorf("%s on %s, kind %d: %v, %d compromises, %d strokes", name, rigName, k, l, len(d.Tab.Compromises), len(d.Tab.Strokes))
				}
				if strings.Contains(d.Tab.Tune.Title, " in ") { // of the key: the place gives none
					continue
				}
				own++
				there := stopsFor(in(tb))
				for _, st := range strokesOf(d) {
					for _, p := range st.Plucks {
						s := stop{p.String, int(math.Round(p.Fret))}
						switch kind {
						case Again, Moves, Holds, Blocks:
							if !there[s] {
								t.Errorf("%s on %s, %s: string %d at fret %d is not in the tab", name, rigName, d.Tab.Tune.Title, s.str, s.fret)
							}
						case Opens:
							if s.fret != 0 && !there[s] || s.str != 2 {
								t.Errorf("%s on %s, %s: string %d at fret %d", name, rigName, d.Tab.Tune.Title, s.str, s.fret)
							}
						}
					}
				}
			}
		}
	}
	t.Logf("%d exercises of their places", own)
	if own < 40 {
		t.Errorf("%d exercises of 56 are made of their places, want 40", own)
	}
}

// Each kind does what it says of the bars it is asked for.
func TestPlaceByPlace(t *testing.T) {
	tb := demo(t, "low-tide-steps.abc", "lap6-c6")
	at := func(s Spot) *Drill {
		t.Helper()
		d, err := At(context.Background(), tb, s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	// The bar four times, note for note, from three quarters of the speed up to it.
	d := at(Spot{Kind: Again, Strokes: in(tb, 6)})
	var want [][2]int
	for _, st := range in(tb, 6) {
		for _, p := range st.Plucks {
			want = append(want, [2]int{p.String, int(math.Round(p.Fret))})
		}
	}
	var got [][2]int
	for _, st := range strokesOf(d) {
		for _, p := range st.Plucks {
			got = append(got, [2]int{p.String, int(math.Round(p.Fret))})
		}
	}
	if times := slices.Repeat(want, 4); !slices.Equal(got, times) || d.Tab.Tune.Title != "Bar 6 over and over" {
		t.Errorf("%q plays %v, want %v", d.Tab.Tune.Title, got, times)
	}
	full := tb.Tune.FirstSpeed()
	if begins := d.Tab.Tune.FirstSpeed(); begins.Beat != full.Beat || int64(d.Kind.Target)*1000 != full.PerMinute || begins.PerMinute != int64(d.Kind.Target*3/4)*1000 {
		t.Errorf("it begins at %v and reaches %d; the tune goes at %v", begins, d.Kind.Target, full)
	}
	// Every other stroke leans, on strings and frets that lean in the tab.
	var leaned []*tab.Stroke
	for _, st := range in(tb) {
		if st.Placement.Slanted() {
			leaned = append(leaned, st)
		}
	}
	d = at(Spot{Kind: Leans, Strokes: leaned})
	there := stopsFor(leaned)
	for i, st := range strokesOf(d) {
		if st.Placement.Slanted() != (i%2 == 1) {
			t.Errorf("stroke %d leans: %v", i, st.Placement.Slanted())
		}
		for _, p := range st.Plucks {
			if st.Placement.Slanted() && !there[stop{p.String, int(math.Round(p.Fret))}] {
				t.Errorf("string %d at fret %g does not lean in the tab", p.String, p.Fret)
			}
		}
	}
	if n := len(d.Tab.Strokes); n < 4 || !strings.HasPrefix(d.Tab.Tune.Title, "The slants of bar") {
		t.Errorf("%q has %d strokes", d.Tab.Tune.Title, n)
	}
	// Two pitches that are one, on string 3 and those beside it.
	d = at(Spot{Kind: Unison, String: 3})
	all := sounds(d)
	for i := 0; i+1 < len(all); i += 2 {
		a, b := d.Tab.Strokes[i].Plucks[0], d.Tab.Strokes[i+1].Plucks[0]
		if all[i][0] != all[i+1][0] || a.String != 3 && b.String != 3 {
			t.Errorf("strings %d and %d sound %v and %v", a.String, b.String, all[i], all[i+1])
		}
	}
	// Stopped notes: every one is short and damped.
	d = at(Spot{Kind: Blocks, Strokes: in(tb, 6)})
	for i, st := range d.Tab.Strokes {
		if !st.Plucks[0].Damp || st.Len != eighth {
			t.Errorf("note %d of %q rings", i, d.Tab.Tune.Title)
		}
	}
	// Nothing leans in a bar of single notes: the general exercise stands in.
	var square []*tab.Stroke
	for _, st := range in(tb) {
		if !st.Placement.Slanted() {
			square = append(square, st)
		}
	}
	if d = at(Spot{Kind: Leans, Strokes: square}); !strings.HasPrefix(d.Tab.Tune.Title, "Slant in ") {
		t.Errorf("of what does not lean %q is made", d.Tab.Tune.Title)
	}
	done, end := context.WithCancel(context.Background())
	end()
	if _, err := At(done, tb, Spot{Kind: Again, Strokes: in(tb, 6)}); err == nil {
		t.Error("it goes on after its context has ended")
	}
}
