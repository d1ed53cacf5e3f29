package refcheck

import (
	"testing"

	"lapwright/arrange"
	"lapwright/rig"
)

// TestGradesGrowHarder: over the tunes of the books the second grade is harder than the
// first in nine of ten, and the third never easier than the second; an outline keeps two
// fifths of the notes at least, begins and ends with the tune's own, and leans the steel
// nowhere. The bounds are ours; common practice, no source.
func TestGradesGrowHarder(t *testing.T) {
	all, rigs := corpusTunes(t), rig.Builtins()
	n, harder, easier, kept, notes := 0, 0, 0, 0, 0
	step := every(11)
	for i := 0; i < len(all); i += step {
		r := rigs[i/step%len(rigs)]
		var was [3]float64
		for g, grade := range arrange.Grades {
			res, err := arrange.Arrange(t.Context(), all[i], r, arrange.Options{Grade: grade})
			if err != nil {
				t.Fatal(err)
			}
			was[g] = res.Difficulty
			if grade != arrange.FirstGrade {
				continue
			}
			o := res.Outline
			kept, notes = kept+o.Kept, notes+o.Notes
			if 5*o.Kept < 2*o.Notes {
				t.Errorf("%q: %d of %d notes are kept", all[i].Title, o.Kept, o.Notes)
			}
			if slants, splits := res.Tab.Slants(); slants+splits > 0 {
				t.Errorf("%q leans the steel in grade first", all[i].Title)
			}
		}
		n++
		if was[1] > was[0] {
			harder++
		} else {
			t.Logf("%q on %s: %.1f, %.1f, %.1f", all[i].Title, r.Name, was[0], was[1], was[2])
		}
		if was[2] < was[1] {
			easier++
			t.Logf("%q on %s: %.1f, %.1f, %.1f", all[i].Title, r.Name, was[0], was[1], was[2])
		}
	}
	t.Logf("%d tunes: harder from first to second %d, easier from second to third %d; outlines keep %d of %d notes", n, harder, easier, kept, notes)
	if n < 20 || 10*harder < 9*n || easier > 0 {
		t.Errorf("of %d tunes %d are harder in the second grade than in the first, and %d easier in the third than in the second", n, harder, easier)
	}
}
