package tab

import (
	"testing"

	"lapwright/tune"

	"lapwright/pitch"
	"lapwright/steel"
)

// TestEveryKindHasItsWords writes a compromise of every kind and reads its kind
// back from its words, as a reader of tab text must.
func TestEveryKindHasItsWords(t *testing.T) {
	name, err := pitch.ParseName("F#4")
	if err != nil {
		t.Fatal(err)
	}
	tn := &tune.Tune{Bars: []tune.Bar{{Number: 3, Lines: [][]tune.Event{{{Notes: []tune.Note{{Name: name}}}}}}}}
	ref := tune.Ref{Grace: -1}
	seen := map[[2]string]Kind{}
	for k := NotPlayed; int(k) < len(kinds); k++ {
		for _, held := range []tune.Ticks{0, 3 * tune.Whole / 8} {
			c := NewCompromise(tn, ref, 0, k, held, "because")
			if k == OtherPitch {
				c = OffPitch(tn, ref, 0, -31, "because")
			}
			if c.Wanted == "" || c.Got == "" || c.BarNumber != 3 || c.Kind != k {
				t.Errorf("kind %d: %+v", k, c)
			}
			if got := ReadKind("F#4", c.Wanted, c.Got); got != k {
				t.Errorf("%q wanted, %q got: read as kind %d, written as %d", c.Wanted, c.Got, got, k)
			}
			words := [2]string{c.Wanted, c.Got}
			if other, ok := seen[words]; ok && other != k {
				t.Errorf("kinds %d and %d both say %q", other, k, words)
			}
			seen[words] = k
		}
	}
	// The words as a sheet and a tab text have them.
	for _, c := range []struct {
		k           Kind
		held        tune.Ticks
		wanted, got string
	}{
		{NotPlayed, tune.Whole, "F#4", "nothing"},
		{LetGoEarly, 3 * tune.Whole / 8, "F#4 held for 3/8", "let go early"},
		{LetGoEarly, 0, "F#4", "let go early"},
		{PluckedAgain, 0, "F#4 held on", "F#4 plucked again"},
		{GlidePlucked, 0, "a glide into F#4", "F#4 plucked"},
		{ScoopLeftOut, 0, "a scoop into F#4", "F#4 without it"},
		{SlurPlucked, 0, "F#4 under a slur", "F#4 plucked"},
	} {
		if got := NewCompromise(tn, ref, 0, c.k, c.held, ""); got.Wanted != c.wanted || got.Got != c.got {
			t.Errorf("kind %d: %q wanted, %q got; want %q and %q", c.k, got.Wanted, got.Got, c.wanted, c.got)
		}
	}
	if got := OffPitch(tn, ref, 0, 12.4, "").Got; got != "a pitch +12 cents from it" {
		t.Errorf("off by 12.4 cents: %q", got)
	}
	for _, c := range [][2]string{{"G4", "a pitch +12 cents from it"}, {"F#4", "a pitch 12 cents from it"}, {"F#4 held for 3/8", "F#4 plucked again"}, {"F#4", "F4 softly"}, {"F#4 held for 1/4", "nothing"}, {"G4", "nothing"}, {"F#4", "a pitch some cents from it"}} {
		if got := ReadKind("F#4", c[0], c[1]); got != Otherwise {
			t.Errorf("%q is read as kind %d", c, got)
		}
	}
	if !NotPlayed.Lost() || !AlreadyGone.Lost() || PluckedAgain.Lost() || Otherwise.Lost() {
		t.Error("which kinds are lost notes is wrong")
	}
}

// TestSlantsAndFrets counts a hand-made tab: a slant that lies through two strokes
// is one, laid again it is another; a split is counted among them.
func TestSlantsAndFrets(t *testing.T) {
	slant := steel.Placement{Kind: steel.Forward, First: 1, Last: 2, FirstFret: 5, LastFret: 4}
	square := steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 7, LastFret: 7}
	split := steel.Placement{Kind: steel.Split, First: 1, Last: 3, FirstFret: 5, LastFret: 4}
	tb := &Tab{}
	for _, c := range []struct {
		p      steel.Placement
		plucks []Pluck
	}{
		{slant, []Pluck{{String: 1, Fret: 5}, {String: 2, Fret: 4}}},
		{slant, []Pluck{{String: 1, Fret: 5}}},
		{square, []Pluck{{String: 3, Fret: 7}}},
		{slant, []Pluck{{String: 2, Fret: 4}}},
		{split, []Pluck{{String: 3, Fret: 3.9996}}},
		{split, []Pluck{{String: 1, Fret: 5}, {String: 3, Fret: 4}}},
		{steel.Placement{}, []Pluck{{String: 1}, {String: 4, Fret: 12, Attack: Harmonic, Node: 2}}},
	} {
		tb.Strokes = append(tb.Strokes, Stroke{Placement: c.p, Plucks: c.plucks})
	}
	if all, splits := tb.Slants(); all != 3 || splits != 1 {
		t.Errorf("%d slants, %d of them splits; want 3 and 1", all, splits)
	}
	if low, high := tb.Frets(); low != 4 || high != 7 {
		t.Errorf("frets %g to %g, want 4 to 7", low, high)
	}
	if low, high := new(Tab).Frets(); low != 0 || high != 0 {
		t.Errorf("frets %g to %g of nothing", low, high)
	}
}
