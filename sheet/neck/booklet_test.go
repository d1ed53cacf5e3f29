package neck_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/sheet/draw"
	"lapwright/sheet/neck"
	"lapwright/steel"
	"lapwright/tune/tunetest"
)

// TestStraightGripsAreJoined: high open G is two stacked G major triads, so all six
// strings sound I open and at the 12th fret, IV at the 5th and V at the 7th (common
// practice, no source).
func TestStraightGripsAreJoined(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	for name, want := range map[string][]float64{"G": {0, 12}, "C": {5, 17}, "D": {7, 19}} {
		c, err := pitch.ParseChord(name)
		if err != nil {
			t.Fatal(err)
		}
		v := neck.Chord(r, c)
		var got []float64
		for _, j := range v.Joins {
			if j.From == 1 && j.To == 6 && j.FromFret == j.ToFret {
				got = append(got, j.FromFret)
			}
		}
		if len(got) < 2 || !slices.Equal(got[:2], want) {
			t.Errorf("%s lies straight over six strings at %v, want %v", name, got, want)
		}
		g, _ := v.Picture(180)
		drawn := 0
		page := &draw.Page{Items: []draw.Item{g}}
		page.Walk(func(groups []*draw.Group, _ draw.Item) {
			if groups[len(groups)-1].Class == "join" {
				drawn++
			}
		})
		if drawn != len(v.Joins) {
			t.Errorf("%s: %d of %d joins are drawn", name, drawn, len(v.Joins))
		}
	}
}

// TestPairs: the thirds of a major scale are major on I, IV and V and minor on the
// others, its sixths major on I, II, IV and V and minor on the others (any book of
// harmony); each pair sounds that, on the strings and frets that are shown.
func TestPairs(t *testing.T) {
	major, err := pitch.ParseScale("major")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"reso-open-g", "tricone-open-d", "lap6-c6", "lap8-c13", "pedal10-e9"} {
		r := rigtest.Builtin(t, name)
		tonic := tunetest.Key(t, "G").Tonic
		for steps, sizes := range map[int][12]int{2: {0: 4, 2: 3, 4: 3, 5: 4, 7: 4, 9: 3, 11: 3}, 5: {0: 9, 2: 9, 4: 8, 5: 9, 7: 9, 9: 8, 11: 8}} {
			v, ok := neck.Pairs(r, tonic, major, steps)
			if !ok || len(v.Joins) < 5 {
				t.Errorf("%s: %d pairs %d steps apart", name, len(v.Joins), steps)
				continue
			}
			degrees := map[int]bool{}
			for _, j := range v.Joins {
				low, high := r.OpenKey(j.To, 0)+int(j.ToFret), r.OpenKey(j.From, 0)+int(j.FromFret)
				degree := (low - tonic.Semitone()%12 + 120) % 12
				degrees[degree] = true
				if sizes[degree] == 0 || high-low != sizes[degree] {
					t.Errorf("%s, strings %d and %d at %g and %g: %d semitones on %d over the tonic, want %d", name, j.From, j.To, j.FromFret, j.ToFret, high-low, degree, sizes[degree])
				}
				if math.Abs(j.FromFret-j.ToFret) > 3 {
					t.Errorf("%s: a slant over %g frets", name, math.Abs(j.FromFret-j.ToFret))
				}
			}
			t.Logf("%s, %d steps: strings %d and %d, %d degrees, %d places", name, steps, v.Joins[0].From, v.Joins[0].To, len(degrees), len(v.Joins))
		}
	}
}

// TestBooklet: it has all its parts, and shows what benders are for: in open D, string
// 3 up a semitone and string 2 up a tone make a G chord of strings 4, 3 and 2 with the
// steel off (common practice, no source).
func TestBooklet(t *testing.T) {
	d, err := neck.Booklet(rigtest.Builtin(t, "bender-open-d"), tunetest.Key(t, "D"), neck.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var heads []string
	for _, b := range d.Bookmarks[1:] {
		heads = append(heads, b.Title)
	}
	if want := []string{"The chords I, IV and V", "With benders and pedals", "The scale", "Pairs in thirds", "Pairs in sixths"}; !slices.Equal(heads, want) {
		t.Errorf("parts %q", heads)
	}
	for _, want := range []string{"293.66", "G with A and B", "A7", "D major in thirds"} {
		if !strings.Contains(d.Description, want) {
			t.Errorf("the booklet does not tell of %q", want)
		}
	}
	_, with, _ := strings.Cut(d.Description, "G with A and B")
	with, _, _ = strings.Cut(with, ". ")
	if !strings.Contains(with, "string 4: 5 open") || !strings.Contains(with, "string 3: R open") || !strings.Contains(with, "string 2: 3 open") {
		t.Errorf("G with both benders: %q", with)
	}
	for i, p := range d.Pages {
		p.Walk(func(_ []*draw.Group, it draw.Item) {
			if b := it.Bounds(); b.X0 < 0 || b.X1 > p.W || b.Y1 > p.H {
				t.Errorf("page %d: %T reaches to %.1f, %.1f", i+1, it, b.X1, b.Y1)
			}
		})
	}
	plain, err := neck.Booklet(rigtest.Builtin(t, "reso-open-g"), tunetest.Key(t, "E minor"), neck.Options{Paper: draw.Letter})
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(plain.Description, " with ") || !strings.Contains(plain.Description, "Em;") || !strings.Contains(plain.Description, "B7;") {
		t.Errorf("E minor without benders: %q", plain.Description[:200])
	}
}

// TestGripsOfOneHeight: small pictures of one instrument are drawn to one scale, as
// high near the nut as far up, two of them in a row of a page of necks.
func TestGripsOfOneHeight(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	var views []neck.View
	for _, fret := range []float64{2, 5, 9, 12, 16} {
		views = append(views, neck.Grip(r, steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: fret, LastFret: fret}, 0, []int{1, 2, 3}, nil))
	}
	least, most := math.Inf(1), 0.0
	rows := neck.Rows(views, 180, 58)
	for _, row := range rows {
		for _, c := range row {
			least, most = min(least, c.Height), max(most, c.Height)
		}
	}
	if most-least > 0.02*most {
		t.Errorf("grips from %.1f to %.1f mm high", least, most)
	}
	if len(rows[0]) != 2 {
		t.Errorf("%d in a row of 180 mm", len(rows[0]))
	}
}
