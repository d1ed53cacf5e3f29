package tune

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/pitch"
)

// notated writes a bar of lengths, each so many parts of a whole note: log2 of each
// value, dots, the tuplet that begins or ends, "~" for a tie.
func notated(t *testing.T, m Meter, start, part int, lengths ...int) string {
	t.Helper()
	unit := Whole / Ticks(part)
	b, at := &Bar{Meter: m}, Ticks(start)*unit
	var line []Event
	for _, n := range lengths {
		e := Event{At: at, Len: Ticks(max(n, -n)) * unit}
		if e.Kind = Rest; n > 0 {
			e.Kind, e.Notes = Sounding, []Note{{Name: pitch.Note(pitch.G, 0, 4)}}
		}
		line = append(line, e)
		at += e.Len
	}
	b.Len = at
	out, err := Notate(b, line)
	if err != nil {
		return err.Error()
	}
	var words []string
	sum := line[0].At
	for _, e := range out {
		w := fmt.Sprint(e.Value.Log2) + strings.Repeat(".", int(e.Value.Dots))
		if e.Value.BarRest {
			w = "bar"
		}
		if e.Kind == Rest {
			w = "r" + w
		}
		for _, x := range e.Tuplets {
			if x.Starts {
				w = fmt.Sprintf("(%d:%d ", x.Actual, x.Normal) + w
			}
			if x.Ends {
				w += ")"
			}
		}
		if len(e.Notes) > 0 && e.Notes[0].Tie {
			w += "~"
		}
		words = append(words, w)
		if l, ok := e.Value.Scaled(e.Tuplets); !e.Value.BarRest && (!ok || l != e.Len) || e.At != sum {
			t.Errorf("%q has length %s at %s", w, e.Len, e.At)
		}
		sum += e.Len
	}
	if sum != at {
		t.Errorf("%v end at %s, not %s", words, sum, at)
	}
	return strings.Join(words, " ")
}

// TestNotateRows: as a musician would write it (common practice, no source): the smallest
// tuplet over the beat or the beats that it fills, dotted notes in compound time, ties at
// the strongest place inside; what a beat holds plainly in no tuplet; a rest for the whole
// bar as such.
func TestNotateRows(t *testing.T) {
	m := func(b, u int) Meter { return Meter{Beats: b, Unit: u} }
	for _, c := range []struct {
		m       Meter
		start   int
		part    int
		lengths []int
		want    string
	}{
		{m(4, 4), 0, 20, []int{1, 1, 1, 1, 1, 15}, "(5:4 4 4 4 4 4) 1."},
		{m(4, 4), 0, 10, []int{1, 1, 1, 1, 1, 5}, "(5:4 3 3 3 3 3) 1"},
		{m(4, 4), 0, 14, []int{1, 1, 1, 1, 1, 1, 1, 7}, "(7:4 3 3 3 3 3 3 3) 1"},
		{m(4, 4), 0, 7, []int{1, 1, 1, 1, 1, 1, 1}, "(7:4 2 2 2 2 2 2 2)"},
		{m(4, 4), 0, 24, []int{1, 1, 1, 1, 1, 1, 18}, "(3:2 4 4 4) (3:2 4 4 4) 1."},
		{m(4, 4), 0, 36, []int{1, 1, 1, 1, 1, 1, 1, 1, 1, 27}, "(9:8 5 5 5 5 5 5 5 5 5) 1."},
		{m(4, 4), 0, 24, []int{1, 1, 1, 21}, "(3:2 4 4 4) 1.."},
		{m(4, 4), 0, 12, []int{1, 1, 1, 1, 1, 1, 6}, "(3:2 3 3 3) (3:2 3 3 3) 1"},
		{m(4, 4), 0, 12, []int{3, 1, 1, 1, 6}, "2 (3:2 3 3 3) 1"},
		{m(4, 4), 0, 12, []int{9, 1, 1, 1}, "1. (3:2 3 3 3)"},
		{m(4, 4), 0, 12, []int{1, 1, 4, 6}, "(3:2 3 3 1) 1"},
		{m(4, 4), 0, 12, []int{5, 1, 6}, "(3:2 1~ 3 3) 1"},
		{m(3, 4), 0, 48, []int{9, 9, 9, 9}, "3. 3. 3. 3."},
		{m(3, 4), 0, 20, []int{3, 3, 3, 3, 3}, "(5:3 2 2 2 2 2)"},
		{m(6, 8), 0, 32, []int{3, 3, 3, 3, 12}, "4. 4. 4. 4. 2."},
		{m(6, 8), 0, 40, []int{3, 3, 3, 3, 3, 15}, "(5:3 3 3 3 3 3) 2."},
		{m(6, 8), 0, 28, []int{3, 3, 3, 3, 3, 3, 3}, "(7:6 3 3 3 3 3 3 3)"},
		{m(6, 8), 0, 24, []int{1, 1, 1, 15}, "(3:2 4 4 4) 2~ 2."},
		{m(6, 8), 0, 24, []int{3, 1, 1, 1, 12}, "3 (3:2 4 4 4) 1"},
		{m(9, 8), 0, 24, []int{9, 1, 1, 1, 15}, "2. (3:2 4 4 4) 2~ 2."},
		{m(9, 8), 0, 8, []int{9}, "1.~ 2."},
		{m(12, 8), 0, 8, []int{12}, "0."},
		{m(12, 8), 0, 8, []int{10, 2}, "1.~ 1 2"},
		{m(12, 8), 0, 8, []int{1, 11}, "3 2~ 2.~ 1."},
		{m(4, 1), 0, 3, []int{4, 4, 4}, "(3:2 -1 -1 -1)"},
		{m(6, 8), 0, 16, []int{1, 5, 6}, "4 4~ 2 2."},
		{m(6, 8), 0, 8, []int{5, 1}, "2.~ 2 3"},
		{m(6, 8), 0, 8, []int{1, 5}, "3 2~ 2."},
		{m(5, 4), 0, 4, []int{5}, "0~ 2"},
		{m(5, 4), 0, 8, []int{1, 9}, "3 1..~ 2"},
		{m(4, 4), 0, 8, []int{1, 7}, "3 1.."},
		{m(4, 4), 0, 8, []int{5, 3}, "1~ 3 2."},
		{m(4, 4), 0, 8, []int{3, 5}, "2. 3~ 1"},
		{m(4, 4), 0, 8, []int{2, 5, 1}, "2 2~ 2. 3"},
		{m(4, 4), 0, 16, []int{1, 5, 10}, "4 3.~ 3 3~ 1"},
		{m(4, 4), 0, 16, []int{3, 10, 3}, "3. 4~ 2~ 2~ 4 3."},
		{m(4, 4), 0, 32, []int{1, 9, 22}, "5 3..~ 4 3.~ 1"},
		{Meter{}, 0, 1, []int{5}, "-2~ 0"},
		{Meter{}, 0, 1, []int{9}, "-3~ 0"},
		{Meter{}, 0, 1, []int{21}, "-3~ -3~ -2~ 0"},
		{Meter{}, 0, 2, []int{1, 11}, "1 -1..~ -1"},
		{m(4, 4), 0, 24, []int{2, 2, 2, 9}, "(3:2 3 3 3) 2."},
		{m(4, 4), 0, 24, []int{9, 2, 2, 2}, "2. (3:2 3 4)~ (3:2 4 3)"},
		{m(4, 4), 3, 24, []int{3, 2, 2, 2, 12}, "3 (3:2 3 3 3) 1"},
		{m(4, 4), 9, 24, []int{3, 2, 2, 2, 6}, "3 (3:2 3 3 3) 2"},
		{m(5, 8), 0, 24, []int{1, 1, 1, 12}, "(3:2 4 4 4) 1"},
		{m(5, 4), 0, 12, []int{12, 1, 1, 1}, "0 (3:2 3 3 3)"},
		{m(7, 8), 0, 24, []int{18, 1, 1, 1}, "1. (3:2 4 4 4)"},
		{m(20, 4), 0, 12, []int{57, 1, 1, 1}, "-2~ 1. (3:2 3 3 3)"},
		{m(4, 4), 0, 4, []int{-4}, "rbar"},
		{m(4, 4), 0, 4, []int{-3, 1}, "r1. 2"},
		{m(4, 4), 1, 4, []int{-3}, "r1."},
		{m(4, 4), 0, 52, []int{1, 12, 39}, "(13:8 5 2.) 1."},
		{m(4, 4), 0, 22, []int{5, 6, 11}, "(11:8 2~ 4 2.) 1"},
		{m(4, 4), 0, 17, []int{5, 12}, "(17:16 2~ 4 1.)"},
		{m(4, 4), 0, 192, []int{1, 1, 1, 189}, "(3:2 7 7 7) 3...~ 2~ 1"},
	} {
		if got := notated(t, c.m, c.start, c.part, c.lengths...); got != c.want {
			t.Errorf("%v/%d in %d/%d from %d: %q, want %q", c.lengths, c.part, c.m.Beats, c.m.Unit, c.start, got, c.want)
		}
	}
}

// TestNotateEverySplit: how two notes that fill a bar are written, wherever the second begins on a grid of thirty-seconds; and two that
// fill a beat, before notes on the others, wherever the second begins on grids of tuplets. Meters of every kind. It was read as a musician
// would, and changes only where somebody means it.
func TestNotateEverySplit(t *testing.T) {
	var b strings.Builder
	row := func(m Meter, part int, lengths ...int) {
		fmt.Fprintf(&b, "%d/%d %v/%d: %s\n", m.Beats, m.Unit, lengths, part, notated(t, m, 0, part, lengths...))
	}
	for _, m := range []Meter{{Beats: 4, Unit: 4}, {Beats: 3, Unit: 4}, {Beats: 2, Unit: 2}, {Beats: 5, Unit: 4}, {Beats: 6, Unit: 8}, {Beats: 9, Unit: 8}, {Beats: 12, Unit: 8}, {Beats: 7, Unit: 8}, {Beats: 5, Unit: 16}} {
		for first := 1; first < m.Beats*32/m.Unit; first++ {
			row(m, 32, first, m.Beats*32/m.Unit-first)
		}
		for _, part := range []int{24, 40, 56, 72} {
			unit := Whole / Ticks(part)
			beat, bar := int(m.Beat()/unit), int(m.Len()/unit)
			for first := 1; first < beat && m.Beat()%unit == 0 && m.Len()%unit == 0; first++ {
				lengths := []int{first, beat - first}
				for at := beat; at < bar; at += beat {
					lengths = append(lengths, min(beat, bar-at))
				}
				row(m, part, lengths...)
			}
		}
	}
	golden.File(t, "testdata/splits.txt", []byte(b.String()))
}
