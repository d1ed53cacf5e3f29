package refcheck

import (
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/wire"
)

// The sliding capo stands where the fret tables have the fret, to a hundredth
// of a millimetre, on every scale that there is a table of. The tables were
// computed apart from Lapwright.
func TestCapoStandsAtTheFret(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Reference(t, "values"), "frets_*in.csv"))
	if err != nil || len(files) < 3 {
		t.Fatalf("%d fret tables: %v", len(files), err)
	}
	for _, file := range files {
		base := filepath.Base(file)
		inches := number(t, strings.TrimSuffix(strings.TrimPrefix(base, "frets_"), "in.csv"))
		r, _ := rig.Builtin("bender-open-d")
		r.Scale, r.Capo.Highest = wire.MM(inches)*wire.Inch, 24
		checked := 0
		for _, row := range rows(t, "values", base) {
			fret, err := strconv.Atoi(row[0])
			if err != nil {
				t.Fatal(err)
			}
			fromNut, toBridge := number(t, row[3]), number(t, row[2])*25.4
			if off := float64(rig.FretPlace(r.Scale, float64(fret))) - fromNut; off > 0.01 || off < -0.01 {
				t.Errorf("%s: fret %d is off by %.4f mm", base, fret, off)
			}
			if fret > 12 {
				continue
			}
			c, err := r.WithCapo(fret)
			if err != nil {
				t.Fatal(err)
			}
			if off := float64(c.Scale) - toBridge; off > 0.01 || off < -0.01 {
				t.Errorf("%s: with the capo at fret %d the scale is off by %.4f mm", base, fret, off)
			}
			checked++
		}
		if checked != 13 {
			t.Errorf("%s: %d frets were checked, want 0 to 12", base, checked)
		}
	}
}

// Published fret positions, in inches, as the witness folder's README gives
// them: buildyourguitar.com for 25.5 in from the nut, stuphi.co.uk for 25 in to
// the bridge. Half of the last printed digit, 0.0005 in, is 0.013 mm.
func TestPublishedFretsOfARig(t *testing.T) {
	for fret, in := range map[float64]float64{1: 1.431, 2: 2.782} {
		if off := float64(rig.FretPlace(25.5*wire.Inch, fret)/wire.Inch) - in; off > 0.0005 || off < -0.0005 {
			t.Errorf("25.5 in, fret %g: off by %.5f in", fret, off)
		}
	}
	for fret, in := range map[float64]float64{1: 23.597, 5: 18.729, 7: 16.685, 9: 14.865} {
		if off := float64((25*wire.Inch-rig.FretPlace(25*wire.Inch, fret))/wire.Inch) - in; off > 0.0005 || off < -0.0005 {
			t.Errorf("25 in, fret %g: off by %.5f in", fret, off)
		}
	}
}
