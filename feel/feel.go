package feel

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/tune"
)

// Sign is what a line does at one slot of a figure.
type Sign byte

// The signs. All but Rest and Hold begin a stroke.
const (
	Rest  Sign = '.' // silence from here on
	Hold  Sign = '-' // what sounds goes on
	Bass  Sign = 'b' // the chord's bass: its root, or what stands after the slash
	Fifth Sign = 'f' // the other bass: the fifth of the chord
	Sixth Sign = 's' // the sixth above the root, for a walking bass
	Near  Sign = 'a' // a semitone below the next chord's bass; the fifth where the chord stays
	Grip  Sign = 'c' // the strings of the grip together
	Whole Sign = 'w' // bass and grip together
	Low   Sign = 'l' // the lowest string of the grip alone
	Mid   Sign = 'm' // a middle one
	High  Sign = 'h' // the highest
	Swell Sign = 'p' // bass and grip, swelled in (on instruments with a volume pedal) and held
	Chop  Sign = 'x' // the grip's strings struck under the palm: no pitch
	Tap   Sign = 't' // of the brush: a tap
	Sweep Sign = 'z' // of the brush: a sweep
	Shake Sign = 'k' // of the shaker: one shake
)

// Begins reports whether a stroke begins with the sign.
func (s Sign) Begins() bool { return s != Rest && s != Hold }

// Plays reports whether the sign has the bass, and whether it has the grip.
func (s Sign) Plays() (bass, grip bool) {
	switch s {
	case Bass, Fifth, Sixth, Near:
		return true, false
	case Grip, Low, Mid, High, Chop:
		return false, true
	case Whole, Swell:
		return true, true
	}
	return false, false
}

// Line is what one line does in a bar: one Sign a slot. "" is a line that is silent.
type Line string

// Figure is a feel in one kind of bar.
type Figure struct {
	Beats, Unit int // the meter that it is for; 4, 4 serves 2/2 as well
	// Part is played on the instrument; Bass, Guitar and Brush are the band's. Each
	// has as many slots as Accents.
	Part, Bass, Guitar, Brush Line
	// Accents has ">" at each slot with weight and "." at the others.
	Accents string
}

// Meter returns the meter that the figure is for.
func (f *Figure) Meter() tune.Meter { return tune.Meter{Beats: f.Beats, Unit: f.Unit} }

// Stroke is one stroke of a line in a bar.
type Stroke struct {
	At, Len tune.Ticks // Len is until the line's next stroke or rest
	Sign    Sign
	Accent  bool
}

// Strokes returns the strokes of a line between two places of a full bar of the
// figure's meter, counted from the start of that bar: a bar that is only a part of
// one has its part of the figure. A chord that begins inside a bar, at a slot, begins
// the line anew (restart), while the weight stays where the bar has it. Otherwise
// strokes that began earlier are left out. The last is cut at the end.
func (f *Figure) Strokes(l Line, from, to tune.Ticks, restart bool) []Stroke {
	var out []Stroke
	slot := f.Meter().Len() / tune.Ticks(len(f.Accents))
	first := 0
	if restart && from%slot == 0 {
		first = int(from / slot)
	}
	open := false
	for i := first; i < len(f.Accents) && l != ""; i++ {
		at := slot * tune.Ticks(i)
		sign := Sign(l[i-first])
		switch {
		case at < from || at >= to:
		case sign == Hold:
			if open {
				s := &out[len(out)-1]
				s.Len = min(at+slot, to) - s.At
			}
		case sign == Rest:
			open = false
		default:
			open = true
			out = append(out, Stroke{at, min(at+slot, to) - at, sign, f.Accents[i] == '>'})
		}
	}
	return out
}

// Colour says how the chords of a feel are filled.
type Colour uint8

// The colours.
const (
	Plain Colour = iota // as the symbols say
	// Rich has sixths on major chords, ninths or thirteenths on sevenths, and a
	// diminished chord passing where a bass rises by a whole tone.
	Rich
)

// String returns the colour's name.
func (c Colour) String() string { return [...]string{"as written", "rich"}[c] }

// Feel is one way to accompany.
type Feel struct {
	Name    string // what players call it
	Words   string // what it is, in one line
	Suits   string // what it is usually played on; words for people
	Swing   tune.Swing
	Colour  Colour
	Strings int // how many strings a grip of it has at most
	Figures []Figure
}

// Figure returns the figure for a meter: one for just that length and those beats.
// ok is false where the feel has none.
func (f *Feel) Figure(m tune.Meter) (fig *Figure, ok bool) {
	for i := range f.Figures {
		g := &f.Figures[i]
		if g.Meter().Len() == m.Len() && compound(g.Meter()) == compound(m) {
			return g, true
		}
	}
	return nil, false
}

// Meters lists the meters that the feel has figures for, as they are written.
func (f *Feel) Meters() []string {
	var out []string
	for i := range f.Figures {
		out = append(out, fmt.Sprintf("%d/%d", f.Figures[i].Beats, f.Figures[i].Unit))
	}
	return out
}

// In returns the figure for a meter, borrowed from the feel that is usual in it
// where f has none, and worked out for a meter that no feel has: the bass on the
// first beat and the grip on the others. It fails for free meter alone.
func (f *Feel) In(m tune.Meter) (*Figure, error) {
	if fig, ok := f.Figure(m); ok {
		return fig, nil
	}
	if fig, ok := For(m, "").Figure(m); ok {
		return fig, nil
	}
	n := m.Len() / m.Beat()
	if m.Len() == 0 || n*m.Beat() != m.Len() {
		return nil, fmt.Errorf("there is no accompaniment in free meter")
	}
	grips := strings.Repeat(string(Grip), int(n-1))
	return &Figure{Beats: m.Beats, Unit: m.Unit, Part: Line(Bass) + Line(grips), Bass: Line(Bass) + Line(strings.Repeat(string(Hold), int(n-1))),
		Guitar: Line(Rest) + Line(grips), Brush: Line(strings.Repeat(string(Tap), int(n))), Accents: ">" + strings.Repeat(".", int(n-1))}, nil
}

// compound reports whether the felt beat of a meter is dotted.
func compound(m tune.Meter) bool { return m.Unit > 0 && m.Beat() != tune.Whole/tune.Ticks(m.Unit) }

// All returns the feels in the order in which they are told.
func All() []*Feel {
	out := make([]*Feel, len(feels))
	for i := range feels {
		out[i] = &feels[i]
	}
	return out
}

// Names lists the names of all feels.
func Names() []string {
	var out []string
	for _, f := range All() {
		out = append(out, f.Name)
	}
	return out
}

// Find returns the feel of a name; capitals, and a hyphen for a space, don't matter.
func Find(name string) (*Feel, error) {
	plain := func(s string) string { return strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), " ", "-") }
	i := slices.IndexFunc(feels, func(f Feel) bool { return plain(f.Name) == plain(name) })
	if i < 0 {
		return nil, fmt.Errorf("unknown feel %q: it is one of %s", name, strings.Join(Names(), ", "))
	}
	return &feels[i], nil
}

// usual says which feel goes with a kind of tune whose name has the word in it
// (common practice, no source). The first that fits counts.
var usual = []struct{ word, feel string }{
	{"straight", "boom-chuck"}, {"jig", "jig"}, {"waltz", "waltz"}, {"swing", "swing"}, {"blues", "shuffle"}, {"shuffle", "shuffle"}, {"hymn", "pad"},
	{"air", "ballad"}, {"ballad", "ballad"}, {"breakdown", "forward roll"}, {"reel", "boom-chuck"}, {"polka", "boom-chuck"},
}

// For returns the feel that is usual for a meter and a kind of tune, which may be
// "".
func For(m tune.Meter, rhythm string) *Feel {
	for _, u := range usual {
		f, err := Find(u.feel)
		if err != nil || !strings.Contains(strings.ToLower(rhythm), u.word) {
			continue
		}
		if _, ok := f.Figure(m); ok {
			return f
		}
	}
	name := "boom-chuck"
	switch {
	case compound(m):
		name = "jig"
	case m.Beats%3 == 0 && m.Beats > 0:
		name = "waltz"
	}
	f, _ := Find(name)
	return f
}

// Usual returns the feel that is usual for a tune that has bars: for its kind, in the meter that it is in halfway.
func Usual(t *tune.Tune) *Feel { return For(t.Bars[len(t.Bars)/2].Meter, t.Rhythm) }

// UsualSwing returns how the eighths of a tune that has bars are parted when all that is told of it is its kind: as its
// usual feel parts them, and even in compound time, where the beat is in three already.
func UsualSwing(t *tune.Tune) tune.Swing {
	if compound(t.Bars[len(t.Bars)/2].Meter) {
		return tune.Swing{}
	}
	return Usual(t).Swing
}
