package retune

import (
	"fmt"
	"math"
	"slices"

	"lapwright/pitch"
	"lapwright/rig"
)

// Target is what one string is tuned to.
type Target struct {
	String int
	Name   pitch.Name
	Tone   string // its place in the open chord: "R", "3", "b7"; "" when it is none of its tones
	Equal  pitch.Hz
	Just   pitch.Hz
	Blend  pitch.Hz
	// JustOff and BlendOff are how far those lie from equal temperament.
	JustOff, BlendOff pitch.Cents
}

// Beat is how two neighbouring strings beat: String is the lower-numbered. The
// partials that nearly meet are Upper of it and Lower of the next string.
type Beat struct {
	String       int
	Upper, Lower int // numbers of the partials
	// Equal, Just and Blend are beats a second in the three ways of tuning.
	Equal, Just, Blend float64
}

// Tuned is how a rig's open strings are to be tuned.
type Tuned struct {
	Chord     pitch.Chord // the open chord
	Reference pitch.Hz
	Share     float64
	Targets   []Target // string 1 first
	Beats     []Beat   // of strings 1 and 2, 2 and 3 …
}

// Way is a way of tuning.
type Way uint8

// The ways of tuning of a Tuned.
const (
	Equal Way = iota
	Just
	Between // moved from equal to just by the share
)

// Low returns the frequencies of the strings in one way of tuning, the last
// string first, as tunings are written.
func (t *Tuned) Low(w Way) []pitch.Hz {
	out := make([]pitch.Hz, 0, len(t.Targets))
	for _, x := range slices.Backward(t.Targets) {
		out = append(out, [...]pitch.Hz{x.Equal, x.Just, x.Blend}[w])
	}
	return out
}

// OpenChordOf names the chord of the open strings: the one that the tuning is
// named for, else the likeliest name of all strings over the lowest.
func OpenChordOf(r *rig.Rig) (pitch.Chord, error) {
	if c, ok := r.NamedChord(); ok {
		return c, nil
	}
	names := r.TunedNames()
	var tones []pitch.Class
	for _, n := range names {
		tones = append(tones, n.Class)
	}
	lowest := slices.MinFunc(names, func(a, b pitch.Name) int { return a.Key() - b.Key() })
	if chords := pitch.NameChord(tones, lowest.Class); len(chords) > 0 {
		return chords[0], nil
	}
	return pitch.Chord{}, fmt.Errorf("the open strings %q make no chord that is known: name the one to tune to, such as \"G\"", r.TuningText())
}

// NewTuned works out the frequencies to tune a rig's open strings to under a
// reference pitch a4: in equal temperament; in the just intonation of a chord,
// its root where equal temperament has it; and with every tone moved from the
// one towards the other by a share (0 is equal, 1 just). Thirds move most.
// Strings that are no tones of the chord take their just interval above its
// root. The sevenths of dominant chords are tuned as given.
func NewTuned(r *rig.Rig, c pitch.Chord, a4 pitch.Hz, share float64, s pitch.Sevenths) (*Tuned, error) {
	if len(c.Tones) == 0 {
		return nil, fmt.Errorf("there is no chord to tune to")
	}
	if !(a4 >= pitch.MinReference && a4 <= pitch.MaxReference) {
		return nil, fmt.Errorf("a reference pitch of \"%g\" Hz is outside %g to %g", float64(a4), float64(pitch.MinReference), float64(pitch.MaxReference))
	}
	if !(share >= 0 && share <= 1) {
		return nil, fmt.Errorf("a share of \"%g\" is outside 0 (equal) to 1 (just)", share)
	}
	r = r.WithoutCapo() // pegs are turned with the capo off
	out := &Tuned{Chord: c, Reference: a4, Share: share}
	for i, str := range r.Strings {
		t := Target{String: i + 1, Name: str.Open, Equal: str.Open.Hz(a4)}
		off, err := justOff(c, str.Open.Class, s)
		if err != nil {
			return nil, err
		}
		if tone, ok := c.Tone(str.Open.Class); ok {
			t.Tone = tone.Label
		}
		t.JustOff, t.BlendOff = off, off*pitch.Cents(share)
		t.Just, t.Blend = t.Equal*pitch.Hz(t.JustOff.Factor()), t.Equal*pitch.Hz(t.BlendOff.Factor())
		out.Targets = append(out.Targets, t)
	}
	for i := range len(out.Targets) - 1 {
		out.Beats = append(out.Beats, beat(out.Targets[i], out.Targets[i+1]))
	}
	return out, nil
}

// justOff returns how far a pitch class in the just intonation of a chord lies
// from equal temperament.
func justOff(c pitch.Chord, k pitch.Class, s pitch.Sevenths) (pitch.Cents, error) {
	if tone, ok := c.Tone(k); ok {
		just := c.Just(tone, s).Cents()
		return just - pitch.Cents(100*tone.Interval.Semitones), nil
	}
	root := pitch.Name{Class: c.Root, Octave: 4}
	iv := pitch.From(root, pitch.Name{Class: k, Octave: 5})
	just, ok := pitch.JustInterval(iv)
	if !ok {
		// A far-fetched spelling: take the plain one of the same sound.
		iv = pitch.From(root, pitch.SpellKey(root.Key()+iv.Semitones, c.Root.Fifths()))
		if just, ok = pitch.JustInterval(iv); !ok {
			return 0, fmt.Errorf("%s has no just interval above %s", k, c.Root)
		}
	}
	return just.Cents() - pitch.Cents(100*iv.Semitones), nil
}

// meeting are the simple ratios at which two strings' partials can meet, the
// simplest first: upper partial number over lower partial number of the
// interval from the lower to the higher string.
var meeting = func() []pitch.Just {
	var out []pitch.Just
	for sum := 2; sum <= 30; sum++ {
		for den := 1; den < sum; den++ {
			num := sum - den
			if num >= den && pitch.GCD(num, den) == 1 && num <= 8*den && max(num, den) <= 16 {
				out = append(out, pitch.Just{Num: num, Den: den})
			}
		}
	}
	return out
}()

// exact and near bound how far an interval may lie from a ratio: so near that
// it is that ratio, and so near that its partials are heard to beat. The wider
// takes in equal thirds and sixths, 16 cents off at most, and not the next ratio.
const (
	exact pitch.Cents = 1
	near  pitch.Cents = 20
)

// beat finds the partials of two strings that nearly meet and how fast they
// beat. The ratio is the one of their just interval or, when that
// is none of the simple ones, the simplest near the equal interval. Ideal
// strings are taken; stiffness moves it a little.
func beat(a, b Target) Beat {
	low, high := a, b
	swap := a.Equal < b.Equal
	if !swap {
		low, high = b, a
	}
	find := func(iv, within pitch.Cents) int {
		return slices.IndexFunc(meeting, func(j pitch.Just) bool { return math.Abs(float64(iv-j.Cents())) < float64(within) })
	}
	i := find(pitch.Between(low.Just, high.Just), exact)
	if i < 0 {
		i = find(pitch.Between(low.Equal, high.Equal), near)
	}
	if i < 0 {
		return Beat{String: a.String}
	}
	j := meeting[i]
	out := Beat{String: a.String, Upper: j.Den, Lower: j.Num}
	if swap {
		out.Upper, out.Lower = j.Num, j.Den
	}
	n, m := out.Upper, out.Lower
	out.Equal, out.Just, out.Blend = BeatRate(n, a.Equal, m, b.Equal), BeatRate(n, a.Just, m, b.Just), BeatRate(n, a.Blend, m, b.Blend)
	return out
}

// BeatRate returns the beats a second between partial n of a string that sounds f
// and partial m of one that sounds g: |n·f − m·g| (OpenStax, University Physics
// volume 1, chapter 17, for n = m = 1). Ideal strings.
func BeatRate(n int, f pitch.Hz, m int, g pitch.Hz) float64 {
	return math.Abs(float64(n)*float64(f) - float64(m)*float64(g))
}
