package tune

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// practised is a tune of a pickup and four bars, the first two repeated, at 120 quarters a minute.
func practised() *Performance {
	tn := &Tune{Title: "x", Voices: []Voice{{ID: "1"}}}
	for i := range 5 {
		b := Bar{Number: i, Meter: Meter{Beats: 4, Unit: 4}, Len: Whole, Lines: [][]Event{nil}}
		switch i {
		case 0:
			b.Len, b.Tempos = quarter, []Tempo{{Beat: quarter, PerMinute: 120_000}}
		case 1:
			b.Left.Repeat = 1
		case 2:
			b.Right.Repeat = 1
		}
		tn.Bars = append(tn.Bars, b)
	}
	return Perform(tn)
}

// What is played is reckoned by hand: bars by number, * where the melody rests, and how long all lasts.
func TestPractised(t *testing.T) {
	faster := func(round int) float64 { return 1 + float64(round) }
	for _, c := range []struct {
		o       Practice
		want    string
		seconds float64
	}{
		{Practice{}, "0 1 2 1 2 3 4", 12.5},
		{Practice{FirstBar: 2, LastBar: 3}, "2 1 2 3", 8},
		{Practice{FirstBar: 3}, "3 4", 4},
		{Practice{FirstBar: 1, LastBar: 1, Times: 3}, "1 1 1", 6},
		{Practice{FirstBar: 1, LastBar: 1, Times: 2, Tempo: faster}, "1 1", 3},
		{Practice{Turn: 2}, "0 1 2 0* 1* 2* 1 2 1* 2* 3 4 3* 4*", 25},
		{Practice{FirstBar: 3, LastBar: 4, Turn: 1, Times: 2}, "3 3* 4 4* 3 3* 4 4*", 16},
		{Practice{FirstBar: 3, LastBar: 4, Turn: 8}, "3 4 3* 4*", 8},
		{Practice{FirstBar: 3, LastBar: 4, Turn: MaxTurn}, "3 4 3* 4*", 8},
		{Practice{FirstBar: 4, LastBar: 4, Times: MaxTimes}, strings.TrimSpace(strings.Repeat("4 ", MaxTimes)), 2 * MaxTimes},
	} {
		p, err := practised().Practised(c.o)
		if err != nil {
			t.Errorf("%+v: %v", c.o, err)
			continue
		}
		var got []string
		for k, pass := range p.Passes {
			s := fmt.Sprint(p.Tune.Bars[pass.BarIndex].Number)
			if p.Silent != nil && p.Silent[k] {
				s += "*"
			}
			got = append(got, s)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%+v: %s, want %s", c.o, s, c.want)
		}
		if s := p.Clock.Seconds(p.Clock.Len()); math.Abs(s-c.seconds) > 1e-9 {
			t.Errorf("%+v: %g seconds, want %g", c.o, s, c.seconds)
		}
	}
	for _, o := range []Practice{{FirstBar: 9}, {FirstBar: 4, LastBar: 3}, {FirstBar: 2, LastBar: 1}, // which follow each other by the repeat
		{LastBar: 9}, {FirstBar: -1}, {Times: -1}, {Times: 101}, {Turn: 65}, {Turn: -1}} {
		if _, err := practised().Practised(o); err == nil {
			t.Errorf("%+v is taken", o)
		}
	}
}

// A phrase of passes is played and then left, and a part of that keeps whose turn it is.
func TestInTurns(t *testing.T) {
	told := func(p *Performance) string {
		var got []string
		for k, pass := range p.Passes {
			got = append(got, fmt.Sprint(p.Tune.Bars[pass.BarIndex].Number)+map[bool]string{true: "*"}[p.Silent != nil && p.Silent[k]])
		}
		return strings.Join(got, " ")
	}
	p := practised().InTurns(Span{From: 5, To: 7}, Span{From: 1, To: 2})
	if s := told(p); s != "3 4 3* 4* 1 1*" {
		t.Errorf("it plays %s", s)
	}
	if s := told(p.Rearranged(Span{From: 1, To: 3}, Span{From: 5, To: 6}, Span{From: 0, To: 1})); s != "4 3* 1* 3" {
		t.Errorf("a part of it plays %s", s)
	}
}
