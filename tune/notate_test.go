package tune

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
)

// TestNotate gives lengths in 1/48 of a whole note and wants them written so:
// log2 of the value, dots, tuplet, tie.
func TestNotate(t *testing.T) {
	four, three, six := Meter{Beats: 4, Unit: 4}, Meter{Beats: 3, Unit: 4}, Meter{Beats: 6, Unit: 8}
	for _, c := range []struct {
		meter Meter
		in    []int
		want  string
	}{
		{four, []int{12, 12, 12, 12}, "2 2 2 2"},
		{four, []int{48}, "0"},
		{four, []int{6, 30, 12}, "3 2.~ 2 2"},
		{four, []int{4, 4, 4, 36}, "3(3:2 3 3) 1."},
		{four, []int{8, 8, 8, 24}, "2(3:2 2 2) 1"},
		{four, []int{8, 4, 36}, "2(3:2 3) 1."},
		{four, []int{16, 16, 16}, "1(3:2 1 1)"},
		{six, []int{6, 6, 6, 18}, "3 3 3 2."},
		{six, []int{9, 9, 18}, "3. 3. 2."},
		{six, []int{2, 2, 2, 30}, "4(3:2 4 4) 2~ 2."},
		{three, []int{36}, "1."},
		{three, []int{30, 6}, "1~ 3 3"},
	} {
		b := &Bar{Meter: c.meter, Len: c.meter.Len()}
		var line []Event
		at := Ticks(0)
		for _, n := range c.in {
			l := Ticks(n) * Whole / 48
			line = append(line, Event{At: at, Len: l, Notes: []Note{{Name: pitch.Note(pitch.G, 0, 4)}}})
			at += l
		}
		out, err := Notate(b, line)
		if err != nil {
			t.Errorf("%v: %v", c.in, err)
			continue
		}
		var words []string
		sum := Ticks(0)
		for _, e := range out {
			w := fmt.Sprint(e.Value.Log2) + strings.Repeat(".", int(e.Value.Dots))
			for _, x := range e.Tuplets {
				if x.Starts {
					w += fmt.Sprintf("(%d:%d", x.Actual, x.Normal)
				}
				if x.Ends {
					w += ")"
				}
			}
			if e.Notes[0].Tie {
				w += "~"
			}
			words = append(words, w)
			if l, ok := e.Value.Scaled(e.Tuplets); !ok || l != e.Len || e.At != sum {
				t.Errorf("%v: %q has length %s at %s", c.in, w, e.Len, e.At)
			}
			sum += e.Len
		}
		if got := strings.Join(words, " "); got != c.want {
			t.Errorf("%v in %d/%d: got %q, want %q", c.in, c.meter.Beats, c.meter.Unit, got, c.want)
		}
	}
}

// TestNotateAbsurd: a bar as long as a piece may be, in the shortest beats, is
// still written at once.
func TestNotateAbsurd(t *testing.T) {
	b := &Bar{Meter: Meter{Beats: 3, Unit: 1024}}
	third := Whole / 3 / 1024
	b.Len = 100_000 * Whole
	line := []Event{{Len: third, Notes: []Note{{Name: pitch.Note(pitch.G, 0, 4)}}}, {At: third, Len: b.Len - third, Notes: []Note{{Name: pitch.Note(pitch.G, 0, 4)}}}}
	out, err := Notate(b, line)
	if err == nil && len(out) > 50_000 {
		t.Errorf("%d events", len(out))
	}
}
