package tune_test

import (
	"fmt"
	"testing"

	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/tune"
)

// TestMaySplit: a bar is cut in two only where the eye sees why: at a repeat, a
// double or other special line, an ending, a part.
func TestMaySplit(t *testing.T) {
	for name, c := range map[string]struct {
		a, b tune.Bar
		want bool
	}{
		"a plain line":         {tune.Bar{}, tune.Bar{}, false},
		"a repeat ends":        {tune.Bar{Right: tune.Barline{Repeat: 1}}, tune.Bar{}, true},
		"a repeat begins":      {tune.Bar{}, tune.Bar{Left: tune.Barline{Repeat: 1}}, true},
		"a double line":        {tune.Bar{Right: tune.Barline{Style: tune.DoubleBarline}}, tune.Bar{}, true},
		"a dotted line":        {tune.Bar{Right: tune.Barline{Style: tune.DottedBarline}}, tune.Bar{}, true},
		"a thick line":         {tune.Bar{}, tune.Bar{Left: tune.Barline{Style: tune.OpenBarline}}, true},
		"an ending":            {tune.Bar{}, tune.Bar{Endings: []int{1}}, true},
		"a part":               {tune.Bar{}, tune.Bar{Part: "B"}, true},
		"a line on the left":   {tune.Bar{}, tune.Bar{Left: tune.Barline{Style: tune.DoubleBarline}}, false},
		"what ends elsewhere":  {tune.Bar{Endings: []int{1}, Part: "A", Left: tune.Barline{Repeat: 1}}, tune.Bar{Right: tune.Barline{Repeat: 1}}, false},
		"a repeat and an edge": {tune.Bar{Right: tune.Barline{Repeat: 1, Style: tune.FinalBarline}}, tune.Bar{}, true},
	} {
		if got := tune.MaySplit(&c.a, &c.b); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestEndEndings: the bracket of an ending ends before a repeat, a double, final or
// thick line, the next ending or a part, and with the piece; bars outside an ending
// have no bracket to end.
func TestEndEndings(t *testing.T) {
	plain := tune.Bar{}
	one, two := tune.Bar{Endings: []int{1}}, tune.Bar{Endings: []int{2}}
	right := func(b tune.Bar, l tune.Barline) tune.Bar { b.Right = l; return b }
	left := func(l tune.Barline) tune.Bar { return tune.Bar{Left: l} }
	for name, c := range map[string]struct {
		bars []tune.Bar
		want string // the bars whose bracket ends
	}{
		"no endings":    {[]tune.Bar{right(plain, tune.Barline{Repeat: 1}), plain, right(plain, tune.Barline{Style: tune.FinalBarline})}, "[]"},
		"the piece":     {[]tune.Bar{plain, one, plain, plain}, "[3]"},
		"a repeat":      {[]tune.Bar{plain, one, right(plain, tune.Barline{Repeat: 1}), plain}, "[2]"},
		"a double line": {[]tune.Bar{one, right(plain, tune.Barline{Style: tune.DoubleBarline}), plain}, "[1]"},
		"a final line":  {[]tune.Bar{right(one, tune.Barline{Style: tune.FinalBarline}), plain}, "[0]"},
		"a dotted line": {[]tune.Bar{right(one, tune.Barline{Style: tune.DottedBarline}), plain}, "[1]"},
		"two endings":   {[]tune.Bar{plain, one, two, plain}, "[1 3]"},
		"a new repeat":  {[]tune.Bar{one, left(tune.Barline{Repeat: 1}), plain}, "[0]"},
		"a thick line":  {[]tune.Bar{one, left(tune.Barline{Style: tune.OpenBarline}), plain}, "[0]"},
		"a part":        {[]tune.Bar{one, plain, {Part: "B"}, plain}, "[1]"},
	} {
		tune.EndEndings(c.bars)
		ends := []int{}
		for i := range c.bars {
			if c.bars[i].EndingEnds {
				ends = append(ends, i)
			}
		}
		if got := fmt.Sprint(ends); got != c.want {
			t.Errorf("%s: brackets end at %s, want %s", name, got, c.want)
		}
	}
}

// TestGlideLands: a glide goes on to the note as far below the top of what follows:
// one begun anew, in a grace where there is one, never a rest, nor a note tied on.
func TestGlideLands(t *testing.T) {
	note := func(letter pitch.Letter, tied bool) tune.Note {
		return tune.Note{Name: pitch.Note(letter, 0, 4), Tie: tied}
	}
	from := tune.Event{Notes: []tune.Note{note(pitch.C, false), note(pitch.E, false)}}
	one, two := tune.Event{Notes: []tune.Note{note(pitch.D, false)}}, tune.Event{Notes: []tune.Note{note(pitch.D, false), note(pitch.F, false)}}
	graced := tune.Event{Notes: two.Notes, Graces: []tune.Grace{{Notes: one.Notes}}}
	held := tune.Event{Notes: []tune.Note{note(pitch.C, true), note(pitch.E, false)}}
	on := tune.Event{Notes: []tune.Note{note(pitch.C, false), note(pitch.F, false)}}
	for _, c := range []struct {
		name    string
		e, next tune.Event
		fromTop int
		want    bool
	}{
		{"top to one note", from, one, 0, true}, {"second to one note", from, one, 1, false}, {"second to two", from, two, 1, true}, {"third to two", from, two, 2, false},
		{"to a rest", from, tune.Event{Kind: tune.Rest}, 0, false}, {"into a grace", from, graced, 0, true}, {"beside a grace", from, graced, 1, false},
		{"above a tie", held, on, 0, true}, {"to what is tied on", held, on, 1, false},
	} {
		if got := tune.GlideLands(&c.e, &c.next, c.fromTop); got != c.want {
			t.Errorf("%s: lands %v", c.name, got)
		}
	}
}

// TestEndingsInOrder: endings count up within their bounds.
func TestEndingsInOrder(t *testing.T) {
	for _, c := range []struct {
		endings []int
		ok      bool
	}{
		{[]int{1}, true}, {[]int{1, 2, 7}, true}, {[]int{tune.MaxRepeats}, true}, {[]int{0}, false}, {[]int{-1}, false}, {[]int{tune.MaxRepeats + 1}, false}, {[]int{2, 1}, false}, {[]int{1, 1}, false},
	} {
		tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nK:C\nCDEF|]\n"), "")
		if err != nil {
			t.Fatal(err)
		}
		x := tunes[0]
		x.Bars[0].Endings, x.Bars[0].EndingEnds = c.endings, true
		if faults := x.Check(); (len(faults) == 0) != c.ok {
			t.Errorf("endings %v: %v", c.endings, faults)
		}
	}
}
