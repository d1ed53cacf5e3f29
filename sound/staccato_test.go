package sound

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// A note with a dot over it sounds for half of its length (common practice, no source): of two seconds, it is stopped after one. One that is
// tied on or glides into the next is as long as it is written.
func TestStaccatoIsHalf(t *testing.T) {
	f := float64(pitch.Equal(69, 440))
	for _, c := range []struct {
		why   string
		marks []tune.Mark
		tied  bool
		glide bool
		short bool
	}{
		{"plain", nil, false, false, false},
		{"dotted", []tune.Mark{tune.Staccato}, false, false, true},
		{"accented", []tune.Mark{tune.Accent}, false, false, false},
		{"dotted and tied on", []tune.Mark{tune.Staccato}, true, false, false},
		{"dotted and gliding", []tune.Mark{tune.Staccato}, false, true, false},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, note{str: 1, fret: 7, len: 2, glide: c.glide}, note{str: 1, fret: 7, len: 2, attack: map[bool]tab.Attack{true: tab.Glided, false: tab.Picked}[c.glide]})
		e := &tb.Tune.Bars[0].Lines[0][0]
		e.Marks, e.Notes[0].Tie = c.marks, c.tied
		sc, err := write(tb, Options{Speed: 1, Dry: true})
		if err != nil {
			t.Fatal(err)
		}
		x := make([]float64, 2*Rate)
		assemble(tb.Rig, sc, Options{Speed: 1, Dry: true}).next(make([]float64, len(x)), x, make([]float64, len(x)), make([]float64, len(x)), 0)
		before, after := levelAt(x, f, 0.9), levelAt(x, f, 1.3)
		if down := before - after; (down > 30) != c.short {
			t.Errorf("%s: it falls by %.1f dB around its half", c.why, down)
		}
	}
}
