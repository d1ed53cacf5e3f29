package neck

import (
	"math"
	"testing"

	"lapwright/rig"
	"lapwright/sheet/draw"
	"lapwright/steel"
)

// frets returns where the frets of a picture stand, left to right.
func frets(g *draw.Group) []float64 {
	var out []float64
	for _, it := range g.Items {
		if l, ok := it.(draw.Rule); ok && l.X1 == l.X2 && l.Ink == draw.Pale {
			out = append(out, l.X1)
		}
	}
	return out
}

// TestPartsAreOfOneScale: parts of one length show the neck at one scale wherever
// they lie. From fret n to the next there are L·2^(−n/12)·(1 − 2^(−1/12)), equal
// temperament.
func TestPartsAreOfOneScale(t *testing.T) {
	r, _ := rig.Builtin("lap6-c6")
	l := float64(r.Scale)
	want := 0.0
	for _, fret := range []float64{0, 1, 4, 12, 19, 30, 36} {
		p := steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: fret, LastFret: fret}
		if fret == 0 {
			p = steel.Placement{}
		}
		v := Grip(r, p, 0, []int{1, 2, 3}, nil).Part(150)
		group, _ := v.Picture(60)
		at := frets(group)
		first := max(v.From, 1)
		if len(at) != v.To-first+1 || len(at) < 3 {
			t.Fatalf("at fret %g: %d frets are drawn, from %d to %d", fret, len(at), v.From, v.To)
		}
		scale := (at[1] - at[0]) / (l * math.Exp2(-float64(first)/12) * (1 - math.Exp2(-1.0/12)))
		if want == 0 {
			want = scale
		}
		if math.Abs(scale-want) > 1e-9 {
			t.Errorf("at fret %g the scale is %.5f, want %.5f", fret, scale, want)
		}
		if fret > 0 && (float64(v.From) > fret || float64(v.To) < fret) {
			t.Errorf("fret %g is not in the part from %d to %d", fret, v.From, v.To)
		}
		if (v.From == 0) != (fret < 4) {
			t.Errorf("at fret %g the part begins at %d", fret, v.From)
		}
	}
}

// TestMarkedPlaces: a marked fret is shaded half a fret to both sides, the open
// strings beside the nut.
func TestMarkedPlaces(t *testing.T) {
	r, _ := rig.Builtin("lap6-c6")
	group, _ := View{Rig: r, To: 12, Marked: []int{0, 5}, Dots: []Dot{{String: 1}}}.Picture(200)
	var boxes []draw.Box
	for _, it := range group.Items {
		if b, ok := it.(draw.Box); ok && b.Ink == draw.Faint {
			boxes = append(boxes, b)
		}
	}
	at := frets(group)
	if len(boxes) != 2 || boxes[0].X+boxes[0].W > at[0] || !(boxes[1].X < at[4] && boxes[1].X > at[3] && boxes[1].X+boxes[1].W > at[4] && boxes[1].X+boxes[1].W < at[5]) {
		t.Errorf("shaded: %+v, frets at %v", boxes, at)
	}
}
