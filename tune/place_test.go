package tune

import "testing"

// TestPlace: a bar split at a repeat keeps its number, and places in it are
// counted through.
func TestPlace(t *testing.T) {
	quarter := Whole / 4
	m := Meter{Beats: 4, Unit: 4}
	tn := &Tune{Bars: []Bar{
		{Meter: m, Len: quarter},
		{Meter: m, Len: Whole},
		{Meter: m, Len: 3 * quarter, Right: Barline{Repeat: 1}},
		{Meter: m, Len: quarter},
		{Meter: m, Len: Whole},
	}}
	Number(tn.Bars)
	for _, c := range []struct {
		bar    int
		at     Ticks
		number int
		place  Ticks
	}{
		{0, 0, 0, 0},
		{1, quarter, 1, quarter},
		{2, 0, 2, 0},
		{2, 2 * quarter, 2, 2 * quarter},
		{3, 0, 2, 3 * quarter},
		{4, 0, 3, 0},
	} {
		if number, place := tn.Place(c.bar, c.at); number != c.number || place != c.place {
			t.Errorf("place %s of bar index %d: bar %d, %s into it; want bar %d, %s", c.at, c.bar, number, place, c.number, c.place)
		}
	}
}
