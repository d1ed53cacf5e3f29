package refcheck

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// TestTabAgainstFrequencyTable sounds every string of every built-in rig at
// every fret to the octave. The frequency is worked out from lengths alone
// (open frequency times L/(L − x)) with the open string from the table of
// ISO 16 equal temperament computed apart from this program (the README of third_party/witness tells
// how), and must be the table's for the key that the tab says.
func TestTabAgainstFrequencyTable(t *testing.T) {
	f, err := os.Open(Reference(t, "values", "et_a440.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	hz := map[int]float64{}
	for _, row := range rows[1:] {
		key, err1 := strconv.Atoi(row[0])
		v, err2 := strconv.ParseFloat(row[len(row)-1], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("row %v", row)
		}
		hz[key] = v
	}
	n := 0
	for _, r := range rig.Builtins() {
		g := steel.New(r)
		length := float64(r.Scale)
		for s := 1; s <= len(r.Strings); s++ {
			for fret := 0.0; fret <= 12; fret++ {
				st := tab.Stroke{Plucks: []tab.Pluck{{String: s, Fret: fret}}}
				if fret > 0 {
					st.Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(r.Strings)), FirstFret: fret, LastFret: fret}
				}
				key := int(math.Round(tab.Key(g, &st, &st.Plucks[0])))
				x := float64(g.X(g.Contact(st.Placement, s)))
				got := hz[r.OpenKey(s, 0)] * length / (length - x)
				if cents := 1200 * math.Log2(got/hz[key]); math.Abs(cents) > 0.01 {
					t.Errorf("%s, string %d, fret %g: %.3f Hz is %.3f cents from the table's %.3f for key %d", r.Name, s, fret, got, cents, hz[key], key)
				}
				n++
			}
		}
	}
	if n < 600 {
		t.Errorf("only %d places were compared", n)
	}
}
