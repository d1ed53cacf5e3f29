package grip

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"
	"strconv"
	"strings"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// Stop is one string of a grip that is to be named, and where it is stopped.
type Stop struct {
	String int
	Fret   float64 // 0 is open
}

// Named is what a grip sounds.
type Named struct {
	Placement steel.Placement
	Benders   rig.BenderSet
	Angle     float64
	Notes     []Sounded     // by string, string 1 first; labels count from the first chord's root
	Chords    []pitch.Chord // names for all of it, the likeliest first
	// Within lists the triads that sound inside it, beside those that name all
	// of it: C6 holds C and A minor.
	Within []pitch.Chord
	// Intervals are those of neighbouring notes from the lowest up.
	Intervals []pitch.Interval
	// Missing are the tones of the first chord that don't sound.
	Missing []string
}

// ParseStops reads strings and frets such as "1:5,2:5,3:4" or, with benders
// engaged, "3:0A,2:0B,4:0".
func ParseStops(r *rig.Rig, text string) ([]Stop, rig.BenderSet, error) {
	var out []Stop
	var set rig.BenderSet
	parts := strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ' ' })
	if len(parts) == 0 {
		return nil, 0, fmt.Errorf("%q names no string: a form such as \"1:5,2:5,3:4\" expected", text)
	}
	for _, p := range parts {
		str, fret, ok := strings.Cut(p, ":")
		s, err := strconv.Atoi(str)
		if !ok || err != nil {
			return nil, 0, fmt.Errorf("%q is not a string and its fret: a form such as \"1:5\" expected", p)
		}
		if s < 1 || s > len(r.Strings) {
			return nil, 0, fmt.Errorf("there is no string \"%d\": the rig %q has %d", s, r.Name, len(r.Strings))
		}
		digits := strings.TrimRight(fret, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
		f, err := strconv.ParseFloat(digits, 64)
		if err != nil || strings.Trim(digits, "0123456789.") != "" || !(f >= 0 && f <= float64(r.Frets)) {
			return nil, 0, fmt.Errorf("%q is not a fret from 0 to %d", digits, r.Frets)
		}
		for _, letter := range fret[len(digits):] {
			i := slices.IndexFunc(r.Benders, func(b rig.Bender) bool { return b.Mark == string(letter) })
			if i < 0 {
				return nil, 0, fmt.Errorf("the rig %q has no bender \"%c\"", r.Name, letter)
			}
			if !slices.ContainsFunc(r.Benders[i].Moves, func(m rig.Move) bool { return m.String == s }) {
				return nil, 0, fmt.Errorf("the bender \"%c\" doesn't move string %d", letter, s)
			}
			set |= 1 << uint(i)
		}
		if slices.ContainsFunc(out, func(o Stop) bool { return o.String == s }) {
			return nil, 0, fmt.Errorf("string \"%d\" is named twice", s)
		}
		out = append(out, Stop{s, f})
	}
	return out, set, nil
}

// Name tells what a grip sounds. The steel is laid as the frets ask: square,
// slanted, split, or with the nose. The error says why it can't be.
func Name(r *rig.Rig, stops []Stop, benders rig.BenderSet) (Named, error) {
	if len(stops) == 0 {
		return Named{}, fmt.Errorf("a grip has at least one string")
	}
	stops = slices.Clone(stops)
	inorder.Stable(stops, func(a, b Stop) int { return cmp.Compare(a.String, b.String) })
	g := steel.New(r)
	p, err := layFor(g, stops)
	if err != nil {
		return Named{}, err
	}
	out := Named{Placement: p, Benders: benders, Angle: g.Angle(p)}
	keys := make([]int, len(stops))
	for i, s := range stops {
		contact := g.Contact(p, s.String)
		exact := g.Key(p, s.String, benders)
		keys[i] = int(math.Round(exact))
		out.Notes = append(out.Notes, Sounded{String: s.String, Fret: contact, CentsOff: pitch.Cents(100 * (exact - float64(keys[i])))})
	}
	low := slices.Min(keys)
	fifths := pitch.FewestAccidentals(keys)
	var classes []pitch.Class
	for i, k := range keys {
		out.Notes[i].Name = pitch.SpellKey(k, fifths)
		classes = append(classes, out.Notes[i].Name.Class)
	}
	out.Chords = pitch.NameChord(classes, pitch.SpellKey(low, fifths).Class)
	if len(out.Chords) > 0 {
		// The first chord spells the notes.
		c := out.Chords[0]
		for i := range out.Notes {
			n := &out.Notes[i]
			t, ok := c.Tone(n.Name.Class)
			if !ok {
				n.Label = "bass"
				continue
			}
			n.Label = t.Label
			n.Name = nameOf(keys[i], c.Class(t))
		}
		for _, t := range c.Tones {
			if !slices.ContainsFunc(classes, func(k pitch.Class) bool { return k.Semitone() == c.Class(t).Semitone() }) {
				out.Missing = append(out.Missing, t.Label)
			}
		}
	}
	names := make([]pitch.Name, len(out.Notes))
	for i, n := range out.Notes {
		names[i], classes[i] = n.Name, n.Name.Class
		if n.Label == "" {
			out.Notes[i].Label = n.Name.Class.String()
		}
	}
	out.Within = slices.DeleteFunc(pitch.TriadsWithin(classes), func(c pitch.Chord) bool {
		return len(c.Tones) == sounding(keys) || slices.ContainsFunc(out.Chords, c.SoundsAs)
	})
	inorder.Stable(names, func(a, b pitch.Name) int { return cmp.Compare(a.Key(), b.Key()) })
	for i := 1; i < len(names); i++ {
		out.Intervals = append(out.Intervals, pitch.From(names[i-1], names[i]))
	}
	return out, nil
}

// layFor finds the placement that the frets ask for.
func layFor(g *steel.Geometry, stops []Stop) (steel.Placement, error) {
	var p steel.Placement
	frets := map[float64]bool{}
	for _, s := range stops {
		if s.Fret == 0 {
			continue
		}
		frets[s.Fret] = true
		if p.First == 0 {
			p.Kind, p.First, p.FirstFret = steel.Straight, int8(s.String), s.Fret
		}
		p.Last, p.LastFret = int8(s.String), s.Fret
	}
	if p.First == 0 {
		return p, nil
	}
	var tries []steel.Placement
	switch {
	case len(frets) == 1:
		far, near := false, false
		for _, s := range stops {
			if s.Fret == 0 {
				far = far || s.String < int(p.First)
				near = near || s.String > int(p.Last)
			}
		}
		tries = append(tries, g.Across(int(p.First), int(p.Last), far, near, p.FirstFret))
	default:
		slant, split := p, p
		slant.Kind, split.Kind = steel.Forward, steel.Split
		if p.FirstFret < p.LastFret {
			slant.Kind = steel.Reverse
		}
		if p.FirstFret == p.LastFret {
			return p, fmt.Errorf("the steel laid square can't stop %s", stopsText(stops))
		}
		tries = append(tries, slant, split)
	}
	var first error
	for _, t := range tries {
		err := g.Check(t)
		if err == nil {
			err = stopsAgree(g, t, stops)
		}
		if far, near := openBeside(t, stops); err == nil && !g.Clears(t, far, near) {
			err = fmt.Errorf("its end would lie on an open string beside the slant")
		}
		if err == nil {
			return t, nil
		}
		if first == nil {
			first = err
		}
	}
	return steel.Placement{}, fmt.Errorf("the steel can't stop %s: %w", stopsText(stops), first)
}

// near is how far in frets a stop may be from where the steel crosses its string.
const near = 0.16

func stopsAgree(g *steel.Geometry, p steel.Placement, stops []Stop) error {
	for _, s := range stops {
		at := g.Contact(p, s.String)
		if s.Fret == 0 && p.Touches(s.String) {
			return fmt.Errorf("it lies on string %d, which is to be open", s.String)
		}
		if math.Abs(at-s.Fret) > near {
			return fmt.Errorf("it crosses string %d at fret %.2f, not %g", s.String, at, s.Fret)
		}
	}
	return nil
}

func stopsText(stops []Stop) string {
	var out []string
	for _, s := range stops {
		out = append(out, fmt.Sprintf("%d:%g", s.String, s.Fret))
	}
	return "\"" + strings.Join(out, ",") + "\""
}

// openBeside returns the open strings nearest a placement on either side, 0 for
// none.
func openBeside(p steel.Placement, stops []Stop) (far, near int) {
	for _, s := range stops {
		switch {
		case s.Fret > 0:
		case s.String < int(p.First):
			far = max(far, s.String)
		case near == 0 || s.String < near:
			near = s.String
		}
	}
	return far, near
}

// sounding counts the different notes among keys, octaves apart or not.
func sounding(keys []int) int {
	var set uint16
	for _, k := range keys {
		set |= 1 << (((k % 12) + 12) % 12)
	}
	return bits.OnesCount16(set)
}

// nameOf spells a key number as a class, in the octave that fits.
func nameOf(key int, c pitch.Class) pitch.Name {
	if n, ok := pitch.Spell(key, c.Letter); ok {
		return n
	}
	return pitch.SpellKey(key, 0)
}
