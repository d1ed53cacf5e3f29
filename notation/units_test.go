package notation

import (
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// TestUnits: the unit note length of ABC 2.1, section 3.1.7: a sixteenth when the
// meter as a fraction is less than 0.75, else an eighth; a field L: says otherwise,
// the last one counts, and one that says nothing doesn't.
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		text        string
		beats, unit int
		want        tune.Ticks
	}{
		{"", 2, 4, tune.Whole / 16}, {"", 3, 4, tune.Whole / 8}, {"", 4, 4, tune.Whole / 8}, {"", 6, 8, tune.Whole / 8}, {"", 5, 8, tune.Whole / 16}, {"", 2, 2, tune.Whole / 8},
		{"", 3, 8, tune.Whole / 16}, {"", 3, 2, tune.Whole / 8}, {"", 0, 0, tune.Whole / 8}, {"", 9, 16, tune.Whole / 16}, {"", 12, 16, tune.Whole / 8},
		{"X:1\nL:1/4\nK:C\n", 2, 4, tune.Whole / 4}, {"X:1\nL:1/4\nK:C\nCDEF|\nL:1/16\n", 4, 4, tune.Whole / 16}, {"X:1\nL:0/8\nK:C\n", 2, 4, tune.Whole / 16}, {"X:1\nL:1/0\nK:C\n", 3, 4, tune.Whole / 8},
	} {
		if got := unitOf(c.text, tune.Meter{Beats: c.beats, Unit: c.unit}); got != c.want {
			t.Errorf("the unit of %q in %d/%d is %s; want %s", c.text, c.beats, c.unit, got, c.want)
		}
	}
}

// TestNothingIsNoNote: a note lasts.
func TestNothingIsNoNote(t *testing.T) {
	for _, length := range []tune.Ticks{0, -tune.Whole} {
		if got, err := Append("X:1\nK:C\n", pitch.Note(pitch.C, 0, 4), length); err == nil {
			t.Errorf("a note of length %s is added: %q", length, got)
		}
	}
}
