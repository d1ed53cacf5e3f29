package arrange

import (
	"fmt"
	"slices"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// TestPinsThatCanBe: a pin's bars run forwards, its string, grip and benders are the rig's, its frets
// are none below the nut.
func TestPinsThatCanBe(t *testing.T) {
	r := rigtest.OpenD() // six strings, three benders
	fret := func(n int) *int { return &n }
	set := func(s rig.BenderSet) *rig.BenderSet { return &s }
	for name, c := range map[string]struct {
		p    Pin
		good bool
	}{
		"nothing":         {Pin{}, true},
		"one bar":         {Pin{FromBarNumber: 3, ToBarNumber: 3}, true},
		"backwards":       {Pin{FromBarNumber: 3, ToBarNumber: 2}, false},
		"the last string": {Pin{String: 6}, true},
		"string 7":        {Pin{String: 7}, false},
		"string -1":       {Pin{String: -1}, false},
		"one fret":        {Pin{Low: 5, High: 5}, true},
		"from a fret up":  {Pin{Low: 5}, true},
		"up to a fret":    {Pin{High: 5}, true},
		"frets backwards": {Pin{Low: 6, High: 5}, false},
		"below the nut":   {Pin{Low: -1}, false},
		"up to below":     {Pin{High: -1}, false},
		"open":            {Pin{Fret: fret(0)}, true},
		"fret -1":         {Pin{Fret: fret(-1)}, false},
		"all benders":     {Pin{Benders: set(7)}, true},
		"a bender more":   {Pin{Benders: set(8)}, false},
		"a grip":          {Pin{Grip: []Stop{{1, 0}, {6, 12}}}, true},
		"a grip on 0":     {Pin{Grip: []Stop{{0, 0}}}, false},
		"a grip on 7":     {Pin{Grip: []Stop{{1, 5}, {7, 5}}}, false},
		"a grip at -1":    {Pin{Grip: []Stop{{1, -1}}}, false},
	} {
		if err := c.p.check(r); (err == nil) != c.good {
			t.Errorf("%s: %v", name, err)
		}
	}
	at := tune.Whole / 4
	for name, c := range map[string]struct {
		p      Pin
		number int
		place  tune.Ticks
		want   bool
	}{
		"its bar":      {Pin{FromBarNumber: 3}, 3, at, true},
		"the bar over": {Pin{FromBarNumber: 3}, 4, 0, false},
		"before it":    {Pin{FromBarNumber: 3}, 2, 0, false},
		"its last":     {Pin{FromBarNumber: 3, ToBarNumber: 5}, 5, 0, true},
		"after it":     {Pin{FromBarNumber: 3, ToBarNumber: 5}, 6, 0, false},
		"its place":    {Pin{FromBarNumber: 3, At: &at}, 3, at, true},
		"another":      {Pin{FromBarNumber: 3, At: &at}, 3, 0, false},
	} {
		if got := c.p.covers(c.number, c.place); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestWhatAPinAllows: string and fret are those of the highest note that begins; the rest holds for
// every string in use.
func TestWhatAPinAllows(t *testing.T) {
	n := &neck{Neck: grip.NewNeck(rigtest.OpenD(), grip.LimitsOf(grip.Seasoned), grip.Region{})}
	five, zero, seven := 5, 0, 7
	none, palm2, both := rig.BenderSet(0), rig.BenderSet(2), rig.BenderSet(3)
	for name, c := range map[string]struct {
		p      Pin
		change func(*grip.Grip, *moment)
		want   bool
	}{
		"nothing":             {Pin{}, nil, true},
		"its string":          {Pin{String: 2}, nil, true},
		"another string":      {Pin{String: 3}, nil, false},
		"its fret":            {Pin{Fret: &five}, nil, true},
		"another fret":        {Pin{Fret: &seven}, nil, false},
		"gone":                {Pin{Fret: &zero}, func(g *grip.Grip, _ *moment) { g.Strings[0], g.Frets[0] = 0, 0 }, false},
		"gone, no fret":       {Pin{Closed: true}, func(g *grip.Grip, _ *moment) { g.Strings[0], g.Frets[0] = 0, 0 }, true},
		"the first is tied":   {Pin{String: 4}, func(_ *grip.Grip, m *moment) { m.Wants[0].Kind = grip.Tied }, true},
		"the first is held":   {Pin{String: 4}, func(_ *grip.Grip, m *moment) { m.Wants[0].Kind = grip.Held }, true},
		"the first is added":  {Pin{String: 4}, func(_ *grip.Grip, m *moment) { m.Wants[0].Kind = grip.Offered }, true},
		"the second alone":    {Pin{String: 4}, nil, false},
		"from the fret":       {Pin{Low: 5}, nil, true},
		"from the next":       {Pin{Low: 6}, nil, false},
		"up to the fret":      {Pin{High: 5}, nil, true},
		"up to one less":      {Pin{High: 4}, nil, false},
		"closed":              {Pin{Closed: true}, nil, true},
		"closed, open":        {Pin{Closed: true}, func(g *grip.Grip, _ *moment) { g.Frets[1] = 0 }, false},
		"open is free":        {Pin{Low: 5}, func(g *grip.Grip, _ *moment) { g.Frets[1] = 0 }, true},
		"closed, harmonic":    {Pin{Closed: true}, func(g *grip.Grip, _ *moment) { g.Frets[0], g.Frets[1], g.Node = 0, 0, 2 }, true},
		"a harmonic within":   {Pin{High: 12}, func(g *grip.Grip, _ *moment) { g.Frets[0], g.Frets[1], g.Node = 0, 0, 2 }, true},
		"a harmonic without":  {Pin{High: 11}, func(g *grip.Grip, _ *moment) { g.Frets[0], g.Frets[1], g.Node = 0, 0, 2 }, false},
		"its grip":            {Pin{Grip: []Stop{{2, 5}, {4, 5}}}, nil, true},
		"more than its grip":  {Pin{Grip: []Stop{{2, 5}}}, nil, false},
		"another fret of it":  {Pin{Grip: []Stop{{2, 5}, {4, 7}}}, nil, false},
		"part of a grip":      {Pin{Grip: []Stop{{2, 5}, {4, 5}, {1, 5}}}, nil, true},
		"not the whole of it": {Pin{Grip: []Stop{{2, 5}, {4, 5}, {1, 5}}, Whole: true}, nil, false},
		"the whole of it":     {Pin{Grip: []Stop{{2, 5}, {4, 5}}, Whole: true}, nil, true},
		"square":              {Pin{Square: true}, nil, true},
		"square, leaning":     {Pin{Square: true}, func(g *grip.Grip, _ *moment) { g.Kind = steel.Forward }, false},
		"no bender":           {Pin{Benders: &none}, nil, true},
		"no bender, bent":     {Pin{Benders: &none}, func(g *grip.Grip, _ *moment) { g.Benders = 2 }, false},
		"a bender":            {Pin{Benders: &palm2}, func(g *grip.Grip, _ *moment) { g.Benders = 2 }, true},
		"a bender, unbent":    {Pin{Benders: &palm2}, nil, false},
		"one moves nothing":   {Pin{Benders: &both}, func(g *grip.Grip, _ *moment) { g.Benders = 2 }, true},
		"one moves nothing 2": {Pin{Benders: &both}, func(g *grip.Grip, _ *moment) { g.Benders = 3 }, false},
	} {
		g, m := &grip.Grip{Place: &grip.Place{}}, &moment{Due: grip.Due{Wants: make([]grip.Note, 2)}}
		g.Kind = steel.Straight
		g.Strings[0], g.Strings[1], g.Frets[0], g.Frets[1], g.Used = 2, 4, 5, 5, 1<<1|1<<3
		if c.change != nil {
			c.change(g, m)
		}
		if got := c.p.allows(n, g, m); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestPinsAreTyped: what the words of a pin say, field by field, to their bounds.
func TestPinsAreTyped(t *testing.T) {
	r := rigtest.OpenD()
	for text, want := range map[string]string{
		"3 string 6": "3-3 string 6", "3-3 closed": "3-3 closed", "3 fret 0": "3-3 fret 0", "3 frets 1-1": "3-3 frets 1-1", "3@0 square": "3-3@0 square", "3@3/8 closed": "3-3@3/8 closed", "3@1 closed": "3-3@1 closed", "3 benders none closed": "3-3 closed benders 0", "3 benders b": "3-3 benders 10", "3 benders A C square": "3-3 square benders 101", "3 grip 1:0 closed": "3-3 closed grip [{1 0}]",
		"3": "", "3 frets 0-3": "", "3 frets 3": "", "3 frets 3-2": "", "3 frets 3-x": "", "3 frets x-3": "", "3 benders": "", "3 benders closed": "", "3 fret": "", "3 grip 1:5 2": "", "3 grip x:5": "", "3@-1/4 closed": "", "3@1/x closed": "", "3@1/2/3 closed": "", "3 grip 7:5": "", "3 string 7": "",
	} {
		p, err := ParsePin(text, r)
		got := ""
		if err == nil {
			got = fmt.Sprintf("%d-%d", p.FromBarNumber, p.ToBarNumber)
			if p.At != nil {
				got += "@" + p.At.String()
			}
			if p.String > 0 {
				got += fmt.Sprintf(" string %d", p.String)
			}
			if p.Fret != nil {
				got += fmt.Sprintf(" fret %d", *p.Fret)
			}
			if p.Low > 0 {
				got += fmt.Sprintf(" frets %d-%d", p.Low, p.High)
			}
			if p.Closed {
				got += " closed"
			}
			if p.Square {
				got += " square"
			}
			if p.Benders != nil {
				got += fmt.Sprintf(" benders %b", *p.Benders)
			}
			if p.Grip != nil {
				got += fmt.Sprintf(" grip %v", p.Grip)
			}
		}
		if got != want {
			t.Errorf("%q says %q, want %q; %v", text, got, want, err)
		}
	}
	for text, want := range map[string]string{"4": "4 0", "4@1/4": "4 1/4", "0@3/8": "0 3/8", "x": "", "4@": "", "4@x": "", "4@1/0": "", "": ""} {
		number, at, err := ParseMoment(text)
		got := ""
		if err == nil {
			got = fmt.Sprint(number, " ", at)
		}
		if got != want {
			t.Errorf("%q is the place %q, want %q", text, got, want)
		}
	}
}

// TestBeatsThatArePlucked: any beat in a quick tune and in a compound meter; in a slow one every other
// of two, four or six, the first of three (common practice, no source). A pickup's are counted from its end.
func TestBeatsThatArePlucked(t *testing.T) {
	const e = tune.Whole / 8
	for name, c := range map[string]struct {
		beats, unit int
		slow        bool
		length      tune.Ticks // of the bar, the tune's first
		want        []int      // eighths
	}{
		"quick":           {4, 4, false, 8 * e, []int{0, 2, 4, 6}},
		"slow":            {4, 4, true, 8 * e, []int{0, 4}},
		"two":             {2, 4, true, 4 * e, []int{0}},
		"three":           {3, 4, true, 6 * e, []int{0}},
		"three, quick":    {3, 4, false, 6 * e, []int{0, 2, 4}},
		"compound":        {6, 8, true, 6 * e, []int{0, 3}},
		"a pickup":        {4, 4, true, 3 * e, nil},
		"a longer pickup": {4, 4, true, 5 * e, []int{1}},
		"a quick pickup":  {4, 4, false, 3 * e, []int{1}},
		"six slow":        {6, 4, true, 12 * e, []int{0, 4, 8}},
	} {
		b := tunetest.Quarters(1, "D4")
		b.Meter, b.Len = tune.Meter{Beats: c.beats, Unit: c.unit}, c.length
		p := &problem{t: tunetest.Song(b), slow: c.slow}
		var got []int
		for i := 0; tune.Ticks(i)*e < c.length; i++ {
			if p.onBeat(&moment{at: tune.Ticks(i) * e}) {
				got = append(got, i)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: eighths %v, want %v", name, got, c.want)
		}
	}
}

// TestFingersOfAHand: a finger plucks its string, a thumb all those it brushes over.
func TestFingersOfAHand(t *testing.T) {
	for _, c := range []struct {
		h    grip.Hand
		str  int8
		want tab.Finger
	}{
		{grip.Hand{Thumb: 5, ThumbEnd: 5, Index: 3, Middle: 1}, 5, tab.Thumb}, {grip.Hand{Thumb: 5, ThumbEnd: 5, Index: 3, Middle: 1}, 3, tab.Index}, {grip.Hand{Thumb: 5, ThumbEnd: 5, Index: 3, Middle: 1}, 1, tab.Middle}, {grip.Hand{Thumb: 5, ThumbEnd: 5, Index: 3, Middle: 1}, 4, tab.NoFinger},
		{grip.Hand{Thumb: 5, ThumbEnd: 3}, 4, tab.Thumb}, {grip.Hand{Thumb: 5, ThumbEnd: 3}, 3, tab.Thumb}, {grip.Hand{Thumb: 5, ThumbEnd: 3}, 2, tab.NoFinger}, {grip.Hand{Thumb: 5, ThumbEnd: 3}, 6, tab.NoFinger}, {grip.Hand{}, 0, tab.Middle},
	} {
		if got := fingerOf(c.h, c.str); got != c.want {
			t.Errorf("string %d under %+v is plucked with %v, want %v", c.str, c.h, got, c.want)
		}
	}
	a := &grip.Grip{Benders: 1}
	for name, change := range map[string]func(*grip.Grip){"": func(*grip.Grip) {}, "a string": func(g *grip.Grip) { g.Strings[1] = 3 }, "a fret": func(g *grip.Grip) { g.Frets[0] = 3 }, "a bender": func(g *grip.Grip) { g.Benders = 2 }, "a manner": func(g *grip.Grip) { g.Acts[0] = grip.Hammer }} {
		b := &grip.Grip{Benders: 1}
		if change(b); sameGrip(a, b) != (name == "") {
			t.Errorf("with %q changed two grips are the same: %v", name, sameGrip(a, b))
		}
	}
	if got := order([]int64{5, 3, 3, 9, 1}); !slices.Equal(got, []int{4, 1, 2, 0, 3}) {
		t.Errorf("costs from the least up: %v", got)
	}
	for name, want := range map[string]Grade{"": SecondGrade, "first": FirstGrade, "second": SecondGrade, "third": ThirdGrade} {
		if g, err := ParseGrade(name); err != nil || g != want {
			t.Errorf("%q is the grade %v, %v", name, g, err)
		}
	}
	if _, err := ParseGrade("fourth"); err == nil {
		t.Error("there is a fourth grade")
	}
	for low, want := range map[int]bool{1: false, 3: false, 4: true} {
		if o := (Options{}).within(low, low+3); o.Closed != want || o.Low != low || o.High != low+3 {
			t.Errorf("a position from fret %d is closed: %v", low, o.Closed)
		}
	}
	if o := (Options{Closed: true}).within(1, 4); !o.Closed {
		t.Error("a wish for closed grips is forgotten")
	}
}

// TestUnisonsAreOne: a note meets an earlier one of the moment that begins on its key and has a pitch.
func TestUnisonsAreOne(t *testing.T) {
	b := tunetest.Quarters(1, "D4", "E4", "D4")
	b.Lines[0][2].Notes[0].Chop = true
	p := &problem{t: tunetest.Song(b)}
	at := func(event int, name pitch.Name, tied bool) tune.NoteAt {
		return tune.NoteAt{Ref: tune.Ref{Event: event, Grace: -1}, Name: name, Tied: tied}
	}
	d, e := pitch.Note(pitch.D, 0, 4), pitch.Note(pitch.E, 0, 4)
	for name, c := range map[string]struct {
		earlier []tune.NoteAt
		want    int
	}{
		"none": {nil, -1}, "the same": {[]tune.NoteAt{at(1, e, false), at(0, d, false)}, 1}, "another": {[]tune.NoteAt{at(1, e, false)}, -1}, "tied": {[]tune.NoteAt{at(0, d, true)}, -1}, "a chop": {[]tune.NoteAt{at(2, d, false)}, -1},
	} {
		n := at(0, d, false)
		if got := p.unison(c.earlier, &n); got != c.want {
			t.Errorf("%s: note %d, want %d", name, got, c.want)
		}
	}
}
