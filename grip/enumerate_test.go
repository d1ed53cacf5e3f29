package grip

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
)

// written writes a grip for comparison: how each note is played, in the order in
// which they are due.
func written(n *Neck, g *Grip, notes int) string {
	var out []string
	for i := range notes {
		act := [...]string{"-", "", "held", "again", "glide", "hammer", "pull"}[g.Acts[i]]
		if g.Acts[i] == Gone {
			out = append(out, act)
			continue
		}
		s := fmt.Sprintf("%d:%d", g.Strings[i], g.Frets[i])
		for b := range n.Rig.Benders {
			if g.Benders.Has(b) && slices.ContainsFunc(n.Rig.Benders[b].Moves, func(m rig.Move) bool { return m.String == int(g.Strings[i]) }) {
				s += n.Rig.Benders[b].Mark
			}
		}
		switch {
		case g.Palm:
			s += fmt.Sprintf(" palm %d", g.Node)
		case g.Node > 0:
			s += fmt.Sprintf(" harmonic %d", g.Node)
		}
		out = append(out, strings.TrimSpace(s+" "+act))
	}
	return strings.Join(out, ", ")
}

// Keys on openD: D2 38, A2 45, D3 50, F#3 54, A3 57, D4 62.
func TestGrips(t *testing.T) {
	short := rigtest.OpenD()
	short.Frets, short.Benders = 5, nil
	plain := rigtest.OpenD()
	plain.Benders, plain.Frets = nil, 12
	one := func(key int16, kind Kind) []Note { return []Note{{Key: key, Kind: kind, From: 0}} }
	for _, c := range []struct {
		what   string
		r      *rig.Rig
		level  Level
		region Region
		due    Due
		want   []string
	}{
		{"a note on every string that has it", short, Steady, Region{}, Due{Wants: one(62, Begun)}, []string{"1:0", "2:5"}},
		{"the highest fret and the lowest", short, Steady, Region{}, Due{Wants: one(55, Begun)}, []string{"3:1", "4:5"}},
		{"no open strings", short, Steady, Region{Closed: true}, Due{Wants: one(62, Begun)}, []string{"2:5"}},
		{"from fret 5 on, or open", short, Steady, Region{Low: 5}, Due{Wants: one(62, Begun)}, []string{"1:0", "2:5"}},
		{"up to fret 4", short, Steady, Region{High: 4}, Due{Wants: one(62, Begun)}, []string{"1:0"}},
		{"from fret 3 on", short, Steady, Region{Low: 3}, Due{Wants: one(55, Begun)}, []string{"4:5"}},
		{"below the lowest string it is lost", short, Steady, Region{}, Due{Wants: one(37, Begun)}, []string{"-"}},
		// E5, 14 above string 1 and 19 above string 2: the third partial of A3. It is
		// 22 above string 3 and 26 above string 4.
		{"a natural harmonic where no steel reaches", short, Steady, Region{}, Due{Wants: one(76, Begun)}, []string{"1:2 palm 2", "2:0 harmonic 3"}},
		{"a palm harmonic from the first fret", short, Steady, Region{}, Due{Wants: one(75, Begun)}, []string{"1:1 palm 2"}},
		{"and to the last", short, Steady, Region{}, Due{Wants: one(79, Begun)}, []string{"1:5 palm 2"}},
		{"but not beyond", short, Steady, Region{}, Due{Wants: one(80, Begun)}, []string{"-"}},
		{"nor without the palm", short, FirstYear, Region{}, Due{Wants: one(79, Begun)}, []string{"-"}},
		{"but not for one of two notes", short, Steady, Region{}, Due{Wants: []Note{{Key: 76, Kind: Begun, From: -1}, {Key: 62, Kind: Begun, From: -1}}}, []string{"-, 1:0", "-, 2:5"}},
		{"which is touched at 7, beyond the region", short, Steady, Region{High: 6}, Due{Wants: one(76, Begun)}, []string{"1:2 palm 2"}},
		{"within the region", short, Steady, Region{High: 7}, Due{Wants: one(76, Begun)}, []string{"1:2 palm 2", "2:0 harmonic 3"}},
		{"whose lowest fret is that very one", short, Steady, Region{Low: 7}, Due{Wants: one(76, Begun)}, []string{"2:0 harmonic 3"}},
		{"beyond which it lies", short, Steady, Region{Low: 8}, Due{Wants: one(76, Begun)}, []string{"-"}},
		{"which a first year's player does not know", short, FirstYear, Region{}, Due{Wants: one(76, Begun)}, []string{"-"}},
		// D5, an octave above string 1, two above string 4: the fourth partial there is
		// for the seasoned.
		{"the octave harmonic", short, Steady, Region{}, Due{Wants: one(74, Begun)}, []string{"1:0 harmonic 2", "2:5 palm 2"}},
		{"and the fourth partial", short, Seasoned, Region{}, Due{Wants: one(74, Begun)}, []string{"1:0 harmonic 2", "2:5 palm 2", "4:0 harmonic 4"}},
		{"a harmonic is not glided into", short, Steady, Region{}, Due{Wants: one(74, Glided)}, []string{"-"}},
		{"nor where a string has the note", plain, Steady, Region{}, Due{Wants: one(74, Begun)}, []string{"1:12"}},
		{"a tied note goes on or is plucked again, or is let go", short, Steady, Region{}, Due{Wants: one(62, Tied)},
			[]string{"-", "1:0 again", "1:0 held", "2:5 again", "2:5 held"}},
		{"a held one goes on or is let go", short, Steady, Region{}, Due{Wants: one(62, Held)}, []string{"-", "1:0 held", "2:5 held"}},
		{"a glided one may be plucked", short, Steady, Region{}, Due{Wants: one(55, Glided)}, []string{"3:1", "3:1 glide", "4:5", "4:5 glide"}},
		{"a slurred one hammered on when stopped, pulled off when open", short, Steady, Region{}, Due{Wants: one(62, Slurred)},
			[]string{"1:0", "1:0 pull", "2:5", "2:5 glide", "2:5 hammer"}},
		{"one after its grace likewise", short, Steady, Region{}, Due{Wants: one(62, Graced)},
			[]string{"1:0", "1:0 pull", "2:5", "2:5 glide", "2:5 hammer"}},
		{"a step that may be joined, as the first or the second running", short, Steady, Region{}, Due{Wants: one(62, Stepped)},
			[]string{"1:0", "1:0 pull", "1:0 pull", "2:5", "2:5 glide", "2:5 glide", "2:5 hammer", "2:5 hammer"}},
		{"two notes of which one at a time can be had", short, FirstYear, Region{}, Due{Wants: []Note{{Key: 67, Kind: Begun, From: -1}, {Key: 42, Kind: Begun, From: -1}}},
			[]string{"-, 6:4", "1:5, -"}},
		{"two notes under one steel", short, FirstYear, Region{}, Due{Wants: []Note{{Key: 67, Kind: Begun, From: -1}, {Key: 62, Kind: Begun, From: -1}}}, []string{"1:5, 2:5"}},
		{"on one string there is one note", short, FirstYear, Region{}, Due{Wants: []Note{{Key: 39, Kind: Begun, From: -1}, {Key: 38, Kind: Begun, From: -1}}}, []string{"-, 6:0", "6:1, -"}},
		{"nothing", short, Steady, Region{}, Due{}, []string{""}},
		{"harmony is taken or left", short, FirstYear, Region{},
			Due{Wants: []Note{{Key: 67, Kind: Begun, From: -1}, {Key: 62, Kind: Offered, From: -1}, {Key: 59, Kind: Offered, From: -1}}, Single: 700, Offers: []Offer{{Notes: 1 << 1, Cost: 5}, {Notes: 1 << 2, Cost: 9}}},
			[]string{"1:5, -, -", "1:5, -, 3:5", "1:5, 2:5, -"}},
	} {
		n := NewNeck(c.r, LimitsOf(c.level), c.region)
		for range 2 { // the second time from memory
			var got []string
			for _, g := range n.Grips(&c.due) {
				got = append(got, written(n, &g, len(c.due.Wants)))
			}
			slices.Sort(got)
			if !slices.Equal(got, c.want) {
				t.Errorf("%s: %q; want %q", c.what, got, c.want)
			}
		}
	}
}

// What is due differs by more than its keys: what was worked out for the one must
// not be given for the other.
func TestGripsAreRememberedApart(t *testing.T) {
	n := NewNeck(rigtest.OpenD(), LimitsOf(Steady), Region{})
	base := Due{Wants: []Note{{Key: 62, Kind: Begun, From: -1}, {Key: 59, Kind: Offered, From: -1}}, Single: 700, Offers: []Offer{{Notes: 1 << 1, Cost: 5}}}
	costs := func(d Due) string {
		var out []string
		for _, g := range n.Grips(&d) {
			out = append(out, fmt.Sprintf("%s %d", written(n, &g, len(d.Wants)), g.Cost))
		}
		return strings.Join(out, "; ")
	}
	seen := map[string]string{costs(base): "as it is"}
	for what, change := range map[string]func(*Due){
		"another key":             func(d *Due) { d.Wants[0].Key = 63 },
		"an octave and more":      func(d *Due) { d.Wants[0].Key += 256 },
		"another kind":            func(d *Due) { d.Wants[0].Kind = Slurred },
		"a long note":             func(d *Due) { d.Wants[0].Long = true },
		"dearer to leave":         func(d *Due) { d.Single = 350 },
		"dearer to leave by far":  func(d *Due) { d.Single += 256 },
		"a dearer harmony":        func(d *Due) { d.Offers[0].Cost = 9 },
		"a harmony dearer by far": func(d *Due) { d.Offers[0].Cost += 512 },
		"no harmony":              func(d *Due) { d.Offers = nil },
	} {
		d := base
		d.Wants, d.Offers = slices.Clone(base.Wants), slices.Clone(base.Offers)
		change(&d)
		got := costs(d)
		if other, ok := seen[got]; ok {
			t.Errorf("%s gives the same grips as %s: %s", what, other, got)
		}
		seen[got] = what
	}
}

// A bender is engaged only where it moves a string in use.
func TestBendersServe(t *testing.T) {
	n := NewNeck(rigtest.OpenD(), LimitsOf(Seasoned), Region{High: 2})
	var got []string
	for _, g := range n.Grips(&Due{Wants: []Note{{Key: 59, Kind: Begun, From: -1}, {Key: 55, Kind: Begun, From: -1}}}) { // B3 over G3
		got = append(got, fmt.Sprint(written(n, &g, 2), " ", g.Benders))
	}
	slices.Sort(got)
	// B3 is string 2 at 2 or bent; G3 string 3 at 1 or bent. At 2 and 1 together
	// the steel would lean too far.
	want := []string{"2:0B, 3:0A 3", "2:0B, 3:1 2", "2:2, 3:0A 1"}
	if !slices.Equal(got, want) {
		t.Errorf("%q; want %q", got, want)
	}
}

// A single note may be taken with a slant that its neighbour needs, or that goes
// through both.
func TestBorrow(t *testing.T) {
	r := rigtest.OpenD()
	r.Benders = nil
	n := NewNeck(r, LimitsOf(Steady), Region{Low: 11, High: 14, Closed: true})
	borrowed := func(m, beside *Due) []string {
		own := n.Grips(m)
		all := n.Borrow(own[:len(own):len(own)], len(own), m, beside, n.Grips(beside))
		var out []string
		for _, g := range all[len(own):] {
			if !g.Slanted() || g.Cost < std.Forward {
				t.Errorf("%v, a %v of %d, is no slant with its price", written(n, &g, 1), g.Kind, g.Cost)
			}
			out = append(out, fmt.Sprintf("%s by %d:%g %d:%g", written(n, &g, 1), g.First, g.FirstFret, g.Last, g.LastFret))
		}
		slices.Sort(out)
		return out
	}
	note := func(keys ...int16) *Due {
		d := &Due{}
		for _, k := range keys {
			d.Wants = append(d.Wants, Note{Key: k, Kind: Begun, From: -1})
		}
		return d
	}
	for _, c := range []struct {
		what      string
		m, beside *Due
		want      []string
	}{
		// D#5 is string 1 at 13; F#4 string 3 at 12 and string 2 at 9, out of the
		// region. The other way round the same slant serves F#4.
		{"one that goes through both", note(75), note(66), []string{"1:13 by 1:13 3:12"}},
		{"and the other way round", note(66), note(75), []string{"3:12 by 1:13 3:12"}},
		{"at one fret it needs no slant", note(74), note(66), nil},
		// D#5 with F#4 must be slanted: the A4 that follows is string 2 at 12, where
		// that slant lies half a fret off.
		{"a neighbour's slant that sounds it out of tune", note(69), note(75, 66), nil},
		{"a neighbour's slant that has it", note(75), note(75, 66), []string{"1:13 by 1:13 3:12"}},
		{"a neighbour that is not leaned", note(74), note(74, 66), nil},
	} {
		if got := borrowed(c.m, c.beside); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q; want %q", c.what, got, c.want)
		}
	}
}

// A slant is borrowed once, though both neighbours offer it; and one with a
// bender only for a string that the bender moves.
func TestBorrowOnce(t *testing.T) {
	n := NewNeck(rigtest.OpenD(), LimitsOf(Steady), Region{Low: 11, High: 14, Closed: true})
	due := func(keys ...int16) *Due {
		d := &Due{}
		for _, k := range keys {
			d.Wants = append(d.Wants, Note{Key: k, Kind: Begun, From: -1})
		}
		return d
	}
	m, beside := due(75), due(66)
	own := n.Grips(m)
	once := n.Borrow(own[:len(own):len(own)], len(own), m, beside, n.Grips(beside))
	twice := n.Borrow(once, len(own), m, beside, n.Grips(beside))
	if len(once) != len(own)+1 || len(twice) != len(once) {
		t.Errorf("%d grips, %d with what is borrowed, %d when it is borrowed again", len(own), len(once), len(twice))
	}
	// D#5 over G4 is string 1 at 13 and string 3 bent at 12. G4 may be taken so too;
	// for D#5 alone the bender would do nothing.
	both := due(75, 67)
	for _, c := range []struct {
		m    *Due
		want int
	}{{due(67), 1}, {due(75), 0}} {
		own := n.Grips(c.m)
		all := n.Borrow(own[:len(own):len(own)], len(own), c.m, both, n.Grips(both))
		got := 0
		for _, g := range all[len(own):] {
			if g.Benders != 0 && g.First == 1 && g.Last == 3 {
				got++
			}
		}
		if got != c.want {
			t.Errorf("key %d takes the bent slant %d times, want %d", c.m.Wants[0].Key, got, c.want)
		}
	}
}

// The picking hand begins only what is plucked: what goes on, glides or is
// hammered asks nothing of it.
func TestPluckedStrings(t *testing.T) {
	n := NewNeck(rigtest.OpenD(), LimitsOf(Steady), Region{})
	met := map[Act]int{}
	for _, kind := range []Kind{Begun, Glided, Slurred, Stepped, Graced, Tied, Held} {
		for _, g := range n.Grips(&Due{Wants: []Note{{Key: 64, Kind: kind, From: 0}}}) {
			act := g.Acts[0]
			met[act]++
			idle := len(g.Hands) == 1 && n.Hands[g.Hands[0]].Hand == Hand{}
			if plucks := act == Pluck || act == Again; plucks == idle {
				t.Errorf("a note %d that comes by %d is plucked by %v", kind, act, g.Hands)
			}
		}
	}
	if len(met) < 6 {
		t.Errorf("only %v were met", met)
	}
	// A harmonic is plucked on the string that is touched.
	r := rigtest.OpenD()
	r.Frets, r.Benders = 5, nil
	n = NewNeck(r, LimitsOf(Steady), Region{})
	for _, g := range n.Grips(&Due{Wants: []Note{{Key: 76, Kind: Begun, From: -1}}}) {
		if lead := Lead(n.Hands[g.Hands[0]].Hand); lead != g.Strings[0] {
			t.Errorf("%s is plucked on string %d", written(n, &g, 1), lead)
		}
	}
}

func TestDueAlone(t *testing.T) {
	for _, c := range []struct {
		what  string
		kinds []Kind
		want  bool
	}{
		{"nothing", nil, false},
		{"a note", []Kind{Begun}, true},
		{"a slurred one", []Kind{Slurred}, true},
		{"a step that may be joined", []Kind{Stepped}, true},
		{"one after its grace", []Kind{Graced}, true},
		{"one that goes on", []Kind{Tied}, false},
		{"one reached by a glide", []Kind{Glided}, false},
		{"two", []Kind{Begun, Begun}, false},
		{"one over a held one", []Kind{Begun, Held}, false},
		{"one with harmony offered", []Kind{Begun, Offered, Offered}, true},
	} {
		d := Due{}
		for _, k := range c.kinds {
			d.Wants = append(d.Wants, Note{Kind: k})
		}
		if got := d.Alone(); got != c.want {
			t.Errorf("%s is due alone: %v", c.what, got)
		}
	}
}

// The lowest and highest notes: D2 open, and D4 at the 24th fret, three
// semitones more where a bender raises it so far.
func TestCompass(t *testing.T) {
	r := rigtest.OpenD()
	if low, high := NewNeck(r, LimitsOf(Seasoned), Region{}).Compass(); low != 38 || high != 62+24 {
		t.Errorf("%d to %d", low, high)
	}
	r.Benders[0].Moves = []rig.Move{{String: 1, Semitones: 3}, {String: 6, Semitones: -2}}
	if low, high := NewNeck(r, LimitsOf(Seasoned), Region{High: 12}).Compass(); low != 36 || high != 62+3+12 {
		t.Errorf("bent: %d to %d", low, high)
	}
	if _, high := NewNeck(r, LimitsOf(FirstYear), Region{}).Compass(); high != 62+3+15 {
		t.Errorf("in the first year: up to %d", high)
	}
}

// A steel that a player may not lean lies square; a reverse slant and a split are
// for those whose level has them.
func TestPlacesPermitted(t *testing.T) {
	forward, reverse, split := "1:13,3:12", "1:12,3:13", "1:13,2:13,3:12"
	for _, c := range []struct {
		what    string
		limits  Limits
		region  Region
		allowed []string
	}{
		{"the first year", LimitsOf(FirstYear), Region{}, nil},
		{"steady", LimitsOf(Steady), Region{}, []string{forward, reverse}},
		{"seasoned", LimitsOf(Seasoned), Region{}, []string{forward, reverse, split}},
		{"seasoned, square", LimitsOf(Seasoned), Region{Square: true}, nil},
		{"no reverse slants", func() Limits { l := LimitsOf(Seasoned); l.Reverse = false; return l }(), Region{}, []string{forward, split}},
		{"a lean of just as much", func() Limits {
			l := LimitsOf(Steady)
			l.Angle = steel.New(rigtest.OpenD()).Angle(steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 13, LastFret: 12})
			return l
		}(), Region{}, []string{forward}},
		{"a lean of 43 degrees", func() Limits { l := LimitsOf(Steady); l.Angle = 43; return l }(), Region{}, []string{forward}},
	} {
		n := NewNeck(rigtest.OpenD(), c.limits, c.region)
		for _, text := range []string{forward, reverse, split} {
			stops, _, err := ParseStops(n.Rig, text)
			if err != nil {
				t.Fatal(err)
			}
			var set uint16
			var frets [rig.MaxStrings]int8
			for _, s := range stops {
				set |= 1 << (s.String - 1)
				frets[s.String-1] = int8(s.Fret)
			}
			if got := n.places.stops(set, 0, &frets) != nil; got != slices.Contains(c.allowed, text) {
				t.Errorf("%s: %s can be stopped: %v", c.what, text, got)
			}
		}
	}
}
