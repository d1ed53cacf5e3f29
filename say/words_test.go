package say

import (
	"math"
	"slices"
	"testing"

	"lapwright/tab"
	"lapwright/tune"
)

// Plurals and lists are common practice, no source.
func TestCount(t *testing.T) {
	for _, c := range []struct {
		n     int
		thing string
		want  string
	}{
		{0, "bar", "0 bars"}, {1, "bar", "1 bar"}, {2, "bar", "2 bars"}, {1, "pitch", "1 pitch"}, {6, "pitch", "6 pitches"},
		{2, "body", "2 bodies"}, {3, "key", "3 keys"}, {2, "box", "2 boxes"}, {2, "chord symbol", "2 chord symbols"}, {-1, "semitone", "-1 semitones"},
	} {
		if got := Count(c.n, c.thing); got != c.want {
			t.Errorf("Count(%d, %q) is %q, want %q", c.n, c.thing, got, c.want)
		}
	}
}

func TestList(t *testing.T) {
	for _, c := range []struct {
		words []string
		want  string
	}{
		{nil, ""}, {[]string{"a"}, "a"}, {[]string{"a", "b"}, "a and b"}, {[]string{"a", "b", "c"}, "a, b and c"},
	} {
		if got := List(c.words); got != c.want {
			t.Errorf("List(%q) is %q, want %q", c.words, got, c.want)
		}
	}
	if got, want := Strings([]int{3}), "string 3"; got != want {
		t.Errorf("Strings is %q, want %q", got, want)
	}
	if got, want := Strings([]int{1, 2, 4}), "strings 1, 2 and 4"; got != want {
		t.Errorf("Strings is %q, want %q", got, want)
	}
}

func TestSmallWords(t *testing.T) {
	for _, c := range [][2]string{
		{Times(1), "once"}, {Times(2), "twice"}, {Times(5), "5 times"},
		{Fret(5), "5"}, {Fret(5.1), "5"}, {Fret(7.5), "7.5"}, {Fret(11.9), "12"},
		{Moved(-14), "an octave and 2 semitones below"}, {Moved(1), "a semitone above"}, {Moved(24), "2 octaves above"},
		{Passes([]int{1}), "1."}, {Passes([]int{1, 2}), "1. 2."}, {Passes([]int{1, 2, 3}), "1.–3."}, {Passes([]int{1, 3, 4}), "1. 3. 4."},
		{PerMinute(92000), "92"}, {PerMinute(92500), "92.5"},
	} {
		if c[0] != c[1] {
			t.Errorf("said %q, want %q", c[0], c[1])
		}
	}
}

// TestAddedInWords: what a tab adds and leaves out is counted a kind at a time, with the bars
// that have it: three in a row or more as a run.
func TestAddedInWords(t *testing.T) {
	tn := &tune.Tune{}
	for i := range 9 {
		tn.Bars = append(tn.Bars, tune.Bar{Number: i}) // the first is a pickup
	}
	add := func(k tab.Addition, bars ...int) (out []tab.Added) {
		for _, b := range bars {
			out = append(out, tab.Added{Kind: k, BarNumber: b})
		}
		return out
	}
	for _, c := range []struct {
		added []tab.Added
		left  []int
		want  []string
	}{
		{nil, nil, nil},
		{add(tab.AddJoin, 4), nil, []string{"Added: a note joined to the one before, in bar 4"}},
		{add(tab.AddJoin, 4, 4), nil, []string{"Added: 2 notes joined to the one before, in bar 4"}},
		{add(tab.AddVibrato, 7, 2, 3, 4), nil, []string{"Added: vibrato on 4 notes, in bars 2–4 and 7"}},
		{add(tab.AddHarmony, 1, 2, 5, 6, 8), nil, []string{"Added: 5 notes of harmony, in bars 1, 2, 5, 6 and 8"}},
		{append(add(tab.AddBend, 3), add(tab.AddRoll, 1, 2, 3, 4)...), nil, []string{"Added: 4 notes of rolls, in bars 1–4", "Added: a note reached by a bender, in bar 3"}},
		{add(tab.AddSlideIn, 1), []int{0, 1, 8}, []string{"Added: a slide into a note, in bar 1", "Left out: 3 notes of the tune, in bars 0, 1 and 8"}},
		{nil, []int{-1, 9, 5}, []string{"Left out: 1 note of the tune, in bar 5"}},
	} {
		tb := &tab.Tab{Tune: tn, Added: c.added}
		for _, i := range c.left {
			tb.LeftOut = append(tb.LeftOut, tab.LeftOut{BarIndex: i})
		}
		if got := Added(tb); !slices.Equal(got, c.want) {
			t.Errorf("%v %v: %q, want %q", c.added, c.left, got, c.want)
		}
	}
}

// TestSlugKeepsEdges: the first and last letters and figures are letters and figures too,
// and nothing begins with a stroke.
func TestSlugKeepsEdges(t *testing.T) {
	for in, want := range map[string]string{"az 09": "az-09", "`{/:": "untitled", "  a": "a"} {
		if got := Slug(in); got != want {
			t.Errorf("Slug(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestSigned: a number of semitones has its sign, and none has a plus.
func TestSigned(t *testing.T) {
	for n, want := range map[int]string{-3: "−3", 0: "+0", 2: "+2"} {
		if got := Signed(n); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}

// TestSignedTo: a figure has the sign of what is printed of it, and nought has none.
func TestSignedTo(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{1.25, 1, "+1.2"}, {-1.26, 1, "−1.3"}, {-0.04, 1, "0"}, {0.04, 1, "0"}, {math.Copysign(0, -1), 1, "0"}, {-0.06, 1, "−0.1"},
		{-0.4, 0, "0"}, {-0.6, 0, "−1"}, {100, 0, "+100"}, {-10, 1, "−10.0"}, {-0.004, 2, "0"},
	} {
		if got := SignedTo(c.v, c.decimals); got != c.want {
			t.Errorf("SignedTo(%g, %d) = %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
}

// Twelve semitones are told as an octave.
func TestMovedBy(t *testing.T) {
	for n, want := range map[int]string{
		0: "", 1: "moved up by 1 semitone", 5: "moved up by 5 semitones", -1: "moved down by 1 semitone", 11: "moved up by 11 semitones",
		12: "moved up by 1 octave", -12: "moved down by 1 octave", 24: "moved up by 2 octaves", 13: "moved up by 13 semitones", -6: "moved down by 6 semitones",
	} {
		if got := MovedBy(n); got != want {
			t.Errorf("%d: %q, want %q", n, got, want)
		}
	}
}
