package refcheck

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/wire"
)

// fretRig is a rig of one scale length; only the length matters here.
func fretRig(inches float64) *rig.Rig {
	return &rig.Rig{
		Name: "frets", Scale: wire.MM(inches) * wire.Inch, Frets: 24, NutSpread: 40, BridgeSpread: 50,
		Strings: []rig.String{{Open: pitch.Note(pitch.D, 0, 4)}, {Open: pitch.Note(pitch.A, 0, 3)}},
	}
}

// TestFretTables compares every row of the fret tables, which were computed
// apart from this program (the README of third_party/witness tells how), to a micrometre.
func TestFretTables(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Reference(t, "values"), "frets_*in.csv"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no fret tables: %v", err)
	}
	rows := 0
	for _, path := range files {
		name := filepath.Base(path)
		inches, err := strconv.ParseFloat(name[len("frets_"):len(name)-len("in.csv")], 64)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		g := steel.New(fretRig(inches))
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		table, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, row := range table[1:] {
			fret, _ := strconv.ParseFloat(row[0], 64)
			want, err := strconv.ParseFloat(row[3], 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			// The table is in inches to six places: 0.0000005 in is 0.000013 mm.
			if got := float64(g.X(fret)); math.Abs(got-want) > 1e-3 {
				t.Errorf("%s fret %g: got %.4f mm, want %.4f", name, fret, got, want)
			}
			rows++
		}
	}
	if rows < 5*20 {
		t.Errorf("only %d rows were compared", rows)
	}
}

// TestPublishedFrets compares with fret positions that builders publish:
// 25.5 in scale from the nut (buildyourguitar.com), 25 in scale to the bridge
// (stuphi.co.uk). Both are printed to a thousandth of an inch.
func TestPublishedFrets(t *testing.T) {
	for _, c := range []struct {
		inches, fret, want float64
		toBridge           bool
	}{
		{25.5, 1, 1.431, false},
		{25.5, 2, 2.782, false},
		{25, 1, 23.597, true},
		{25, 5, 18.729, true},
		{25, 7, 16.685, true},
		{25, 9, 14.865, true},
	} {
		got := float64(steel.New(fretRig(c.inches)).X(c.fret) / wire.Inch)
		if c.toBridge {
			got = c.inches - got
		}
		// Half a thousandth of rounding, and one more where the table rounds
		// each fret from the last.
		if math.Abs(got-c.want) > 0.0006 {
			t.Errorf("%g in scale, fret %g: got %.4f in, want %.3f", c.inches, c.fret, got, c.want)
		}
	}
}
