package grip

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
)

func find(t testing.TB, r *rig.Rig, want string, o Options) []Way {
	t.Helper()
	w, err := ParseWant(want)
	if err != nil {
		t.Fatal(err)
	}
	return Find(r, w, o)
}

// writeWay writes a grip shortly: "3-2-1 at 0 0 0".
func writeWay(r *rig.Rig, g Way) string {
	var strs, frets []string
	for i := len(g.Notes) - 1; i >= 0; i-- {
		n := g.Notes[i]
		strs = append(strs, fmt.Sprint(n.String))
		f := fmt.Sprintf("%.3g", n.Fret)
		for b, x := range r.Benders {
			if g.Benders.Has(b) && slices.ContainsFunc(x.Moves, func(m rig.Move) bool { return m.String == n.String }) {
				f += x.Mark
			}
		}
		frets = append(frets, f)
	}
	return strings.Join(strs, "-") + " at " + strings.Join(frets, " ")
}

func has(r *rig.Rig, gs []Way, want string) bool {
	return slices.ContainsFunc(gs, func(g Way) bool { return writeWay(r, g) == want })
}

// The trade's own facts (common practice, no source) come out of the search.
func TestTradeFacts(t *testing.T) {
	all := Options{Max: -1}
	for _, c := range []struct {
		rig, want string
		o         Options
		grips     []string
	}{
		// High open G is two stacked triads: a shape on 1-3 repeats on 4-6.
		{"reso-open-g", "G", all, []string{"3-2-1 at 0 0 0", "6-5-4 at 0 0 0", "3-2-1 at 12 12 12", "6-5-4 at 12 12 12"}},
		{"reso-open-g", "C", all, []string{"3-2-1 at 5 5 5", "6-5-4 at 5 5 5"}},
		{"reso-open-g", "D", all, []string{"3-2-1 at 7 7 7", "6-5-4 at 7 7 7"}},
		// Strings 1-4 of open G have the intervals of strings 2-5 of open D.
		{"reso-open-g", "D", Options{Strings: 4, Max: -1}, []string{"4-3-2-1 at 7 7 7 7"}},
		{"tricone-open-d", "A", Options{Strings: 4, Max: -1}, []string{"5-4-3-2 at 7 7 7 7"}},
		// Power chords of open D: strings 6-5-4 and 4-2-1.
		{"tricone-open-d", "D5", all, []string{"6-5-4 at 0 0 0", "4-2-1 at 0 0 0"}},
		{"tricone-open-d", "G5", all, []string{"6-5-4 at 5 5 5", "4-2-1 at 5 5 5"}},
		// String 3 of open D carries the major third.
		{"tricone-open-d", "D", all, []string{"4-3-2 at 0 0 0", "3-2-1 at 0 0 0"}},
		// Strings 3 and 1 of open D are a sixth.
		{"tricone-open-d", "F# m6", all, []string{"3-1 at 0 0"}},
		{"tricone-open-d", "B m6", all, []string{"3-1 at 5 5"}},
		// The benders of open D: both make G of the open strings 4-3-2, and at the
		// 8th fret the bender of string 2 alone makes G minor.
		{"bender-open-d", "G", all, []string{"4-3-2 at 0 0A 0B"}},
		{"bender-open-d", "Gm", all, []string{"4-3-2 at 8 8 8B"}},
		// A C6 tuning holds C and A minor straight across.
		{"lap6-c6", "C", all, []string{"6-5-4 at 0 0 0", "6-5-4 at 12 12 12"}},
		{"lap6-c6", "Am", all, []string{"3-2-1 at 0 0 0"}},
		{"lap6-c6", "C6", Options{Strings: 4, Max: -1}, []string{"4-3-2-1 at 0 0 0 0"}},
		// With the low B flat under it the sixth is a thirteenth.
		{"lap8-c13", "C13(no9)", Options{Strings: 6, Max: -1}, []string{"8-7-5-4-3 at 0 0 0 0 0"}},
	} {
		r := rigtest.Builtin(t, c.rig)
		got := find(t, r, c.want, c.o)
		for _, w := range c.grips {
			if !has(r, got, w) {
				t.Errorf("%s on %s: %q is not among %d grips", c.want, c.rig, w, len(got))
			}
		}
	}
}

// What the choice of tones and strings adds to the search's price, each by name.
func TestPriceParts(t *testing.T) {
	for _, c := range []struct {
		rig, want, way string
		part           Price // Alone left out
	}{
		{"reso-open-g", "G", "3-2-1 at 0 0 0", Price{}},
		{"reso-open-g", "G", "6-5-4 at 0 0 0", Price{Fingers: 3 * std.Away}},
		{"reso-open-g", "G", "4-3-2 at 0 0 0", Price{Inverted: std.Inverted}},
		{"reso-open-g", "G", "3-2 at 0 0", Price{Lacking: std.NoFifth, Few: std.Few}},
		{"reso-open-g", "G", "2-1 at 0 0", Price{Lacking: std.NoRoot, Inverted: std.Inverted, Few: std.Few}},
		{"reso-open-g", "G", "6-4-2 at 0 0 0", Price{Gaps: 2 * std.Gap}},
		{"lap6-c6", "C", "6-4-2 at 4 5 0", Price{Lacking: std.NoFifth, Inverted: std.Inverted, Gaps: 2 * std.Gap}}, // two frets and an open string are no third fret
		{"lap6-c6", "G7", "5-3-1 at 13 14 15", Price{Lacking: std.NoFifth, Inverted: std.Inverted, Gaps: 2 * std.Gap, Third: std.Third}},
		{"bender-open-d", "G", "4-3-2 at 0 0A 0B", Price{Inverted: std.Inverted, Engaging: 2 * std.BenderPalm}},
		{"reso-open-g", "C/G", "4-3-2 at 5 5 5", Price{}}, // the bass asked for is no inversion
		{"lap8-c13", "C13", "", Price{Lacking: std.NoFifth + std.NoTone}},
	} {
		r := rigtest.Builtin(t, c.rig)
		strings := 3
		if c.rig == "lap8-c13" {
			strings = 4 // C E Bb A
		}
		ways := find(t, r, c.want, Options{Max: -1, Strings: strings})
		i := slices.IndexFunc(ways, func(g Way) bool {
			return writeWay(r, g) == c.way || c.way == "" && slices.Equal(g.Missing, []string{"5", "9"})
		})
		if i < 0 {
			t.Errorf("%s on %s: %q is not found", c.want, c.rig, c.way)
			continue
		}
		got := ways[i].Price
		got.Alone = Alone{}
		if c.way == "" {
			got.Fingers, got.Gaps, got.Inverted, got.Few, got.Third = 0, 0, 0, 0, 0
		}
		if got != c.part {
			t.Errorf("%s on %s, %s: %+v; want %+v", c.want, c.rig, c.way, got, c.part)
		}
	}
}

func TestBestFirst(t *testing.T) {
	for _, c := range []struct{ rig, want, first string }{
		{"reso-open-g", "G", "3-2-1 at 0 0 0"},
		{"reso-open-g", "C/G", "4-3-2 at 5 5 5"},
		{"tricone-open-d", "D", "4-3-2 at 0 0 0"},
		{"lap6-c6", "Am7", "4-3-2 at 0 0 0"},
	} {
		r := rigtest.Builtin(t, c.rig)
		got := find(t, r, c.want, Options{})
		if len(got) == 0 {
			t.Errorf("%s on %s: no grip", c.want, c.rig)
			continue
		}
		t.Logf("%s on %s:", c.want, c.rig)
		for _, g := range got[:min(6, len(got))] {
			t.Logf("   %-18s %-14s %s missing %v cost %.2f more %v", writeWay(r, g), g.Placement.Kind, g.Inversion, g.Missing, float64(g.Price.Sum())/100, g.More)
		}
		if writeWay(r, got[0]) != c.first {
			t.Errorf("%s on %s: first %q, want %q", c.want, c.rig, writeWay(r, got[0]), c.first)
		}
	}
}
