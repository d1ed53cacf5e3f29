package retune

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
)

// Run is a row of strings on one rig with the same intervals between them as a
// row on another: what is played on the one is played on the other at the same
// slant, Up semitones higher.
type Run struct {
	A, B []int // string numbers, ascending, pair by pair
	Up   int   // semitones from the strings of A to those of B
	// Together is true when no string lies between on either rig.
	Together bool
}

// MinRun is the fewest strings that make a shape worth naming; any two
// strings share their interval with some two others.
const MinRun = 3

// maxRuns bounds the runs that are listed for one distance: only tunings with
// many unisons have more, and those are alike.
const maxRuns = 32

// Runs returns every maximal run of at least MinRun strings that two rigs
// share, longest first. Runs keep the order of the strings and need not lie
// together. A rig compared with itself also gives the runs that repeat within
// it, and one with every string.
func Runs(a, b *rig.Rig) []Run {
	var out []Run
	lowest, highest := math.MaxInt, math.MinInt
	for _, s := range a.Strings {
		for _, u := range b.Strings {
			d := u.Open.Key() - s.Open.Key()
			lowest, highest = min(lowest, d), max(highest, d)
		}
	}
	for up := lowest; up <= highest; up++ {
		out = append(out, runsAt(a, b, up)...)
	}
	inorder.Stable(out, func(x, y Run) int {
		return cmp.Or(-cmp.Compare(len(x.A), len(y.A)), cmp.Compare(pitch.Abs(x.Up), pitch.Abs(y.Up)), slices.Compare(x.A, y.A), slices.Compare(x.B, y.B))
	})
	return out
}

// runsAt returns the maximal runs whose strings lie up semitones apart: the
// maximal chains of pairs (i, j) in which both string numbers rise.
func runsAt(a, b *rig.Rig, up int) []Run {
	type pair struct{ i, j int }
	var pairs []pair
	for i := range a.Strings {
		for j := range b.Strings {
			if b.Strings[j].Open.Key()-a.Strings[i].Open.Key() == up {
				pairs = append(pairs, pair{i + 1, j + 1})
			}
		}
	}
	under := func(p, q pair) bool { return p.i < q.i && p.j < q.j }
	// next holds the pairs that may follow p with none in between.
	next := func(p pair) []pair {
		var out []pair
		for _, q := range pairs {
			if under(p, q) && !slices.ContainsFunc(pairs, func(r pair) bool { return under(p, r) && under(r, q) }) {
				out = append(out, q)
			}
		}
		return out
	}
	var out []Run
	var grow func(chain []pair)
	grow = func(chain []pair) {
		if len(out) == maxRuns {
			return
		}
		more := next(chain[len(chain)-1])
		for _, q := range more {
			grow(append(slices.Clip(chain), q))
		}
		if len(more) > 0 || len(chain) < MinRun {
			return
		}
		r := Run{Up: up, Together: true}
		for k, p := range chain {
			r.A, r.B = append(r.A, p.i), append(r.B, p.j)
			if k > 0 && (p.i != chain[k-1].i+1 || p.j != chain[k-1].j+1) {
				r.Together = false
			}
		}
		out = append(out, r)
	}
	for _, p := range pairs {
		if !slices.ContainsFunc(pairs, func(q pair) bool { return under(q, p) }) {
			grow([]pair{p})
		}
	}
	return out
}

// OpenChord is a chord that sounds on some strings under a straight steel; it is
// named at the open position, and moves up with the bar.
type OpenChord struct {
	Chord   pitch.Chord
	Strings []int // every string that sounds a tone of it, ascending
}

// OpenChords returns the chords of three to six tones that lie under a straight
// steel, those of fewest tones first, each with the strings that sound it. Only
// chords with their root among the strings are named, without slash basses and
// without missing thirds or fifths; a thirteenth may lack its ninth.
func OpenChords(r *rig.Rig) []OpenChord {
	var classes []pitch.Class
	for _, s := range r.Strings {
		if !slices.ContainsFunc(classes, func(c pitch.Class) bool { return c.Semitone() == s.Open.Semitone() }) {
			classes = append(classes, s.Open.Class)
		}
	}
	var out []OpenChord
	for set := range 1 << len(classes) {
		var tones []pitch.Class
		for i, c := range classes {
			if set>>i&1 == 1 {
				tones = append(tones, c)
			}
		}
		if len(tones) < 3 || len(tones) > 6 {
			continue
		}
		for _, root := range tones {
			names := pitch.NameChord(tones, root)
			if len(names) == 0 || names[0].Root != root || names[0].Bass != root || strings.ContainsAny(names[0].Quality, "(") {
				continue
			}
			o := OpenChord{Chord: names[0]}
			for i, s := range r.Strings {
				if slices.ContainsFunc(tones, func(t pitch.Class) bool { return t.Semitone() == s.Open.Semitone() }) {
					o.Strings = append(o.Strings, i+1)
				}
			}
			same := slices.IndexFunc(out, func(p OpenChord) bool { return p.Chord.String() == o.Chord.String() })
			switch {
			case same < 0:
				out = append(out, o)
			case len(o.Strings) > len(out[same].Strings):
				out[same] = o
			}
		}
	}
	inorder.Stable(out, func(a, b OpenChord) int {
		return cmp.Or(cmp.Compare(len(a.Chord.Tones), len(b.Chord.Tones)), cmp.Compare(len(a.Chord.Quality), len(b.Chord.Quality)),
			-cmp.Compare(len(a.Strings), len(b.Strings)), strings.Compare(a.Chord.String(), b.Chord.String()))
	})
	return out
}

// TightTravel is the scale travel up to which a tuning's scales are called
// tight: between the sixth tunings, below it, and the open major ones, above.
const TightTravel = 1.30

// ScaleTravel says how far the steel must go for scales: the least travel, in
// frets, of a straight steel playing one octave of a major scale upwards, for
// each step of the scale; of each of the twelve keys in its best octave, and
// averaged over the keys. It is found exactly over every choice of strings,
// between the first fret and the seventeenth.
func ScaleTravel(r *rig.Rig) float64 {
	lowest, highest := math.MaxInt, math.MinInt
	for s := range r.Strings {
		lowest, highest = min(lowest, r.OpenKey(s+1, 0)), max(highest, r.OpenKey(s+1, 0))
	}
	best := map[int]int{}
	for tonic := lowest + 1; tonic+12 <= highest+lastFret; tonic++ {
		travel, ok := octaveTravel(r, tonic)
		if old, seen := best[tonic%12]; ok && (!seen || travel < old) {
			best[tonic%12] = travel
		}
	}
	if len(best) == 0 {
		return math.Inf(1)
	}
	sum := 0
	for _, travel := range best {
		sum += travel
	}
	return float64(sum) / float64(len(best)) / float64(len(majorScale)-1)
}

// majorScale is one octave upwards, in semitones; lastFret is the highest that
// ScaleTravel looks at.
var majorScale = [8]int{0, 2, 4, 5, 7, 9, 11, 12}

const lastFret = 17

// octaveTravel returns the least travel for the scale from one tonic, or false
// when it can't be played.
func octaveTravel(r *rig.Rig, tonic int) (int, bool) {
	var cost map[int]int // least travel so far with the steel at each fret
	for step, up := range majorScale {
		here := map[int]int{}
		for s := range r.Strings {
			f := tonic + up - r.OpenKey(s+1, 0)
			if f < 1 || f > min(lastFret, r.Frets) {
				continue
			}
			if step == 0 {
				here[f] = 0
			}
			for g, c := range cost {
				if old, ok := here[f]; !ok || c+pitch.Abs(f-g) < old {
					here[f] = c + pitch.Abs(f-g)
				}
			}
		}
		if len(here) == 0 {
			return 0, false
		}
		cost = here
	}
	least := math.MaxInt
	for _, c := range cost {
		least = min(least, c)
	}
	return least, true
}

// Side is one rig of a comparison.
type Side struct {
	Rig     *rig.Rig
	Lowest  pitch.Name // lowest open string
	Highest pitch.Name // highest string at the last fret of use
	Chord   string     // the open chord, "" when it has no name
	Tones   []string   // the tone of it on each string, string 1 first: "R", "b7", "–" for none
	Chords  []OpenChord
	Travel  float64 // frets of travel of the steel for each step of a scale
}

// Tight reports whether scales lie close together under the bar.
func (s Side) Tight() bool { return s.Travel <= TightTravel }

// Comparison is what two rigs share and what a player must relearn.
type Comparison struct {
	A, B    Side
	Runs    []Run
	Relearn []string
}

// Compare weighs two rigs for a player who knows A and picks up B.
func Compare(a, b *rig.Rig) *Comparison {
	c := &Comparison{A: side(a), B: side(b), Runs: Runs(a, b)}
	c.relearn()
	return c
}

func side(r *rig.Rig) Side {
	s := Side{Rig: r, Chords: OpenChords(r), Travel: ScaleTravel(r)}
	byKey := func(a, b rig.String) int { return cmp.Compare(a.Open.Key(), b.Open.Key()) }
	s.Lowest = slices.MinFunc(r.Strings, byKey).Open
	s.Highest = pitch.SpellKey(slices.MaxFunc(r.Strings, byKey).Open.Key()+r.Frets, 0)
	if c, err := OpenChordOf(r); err == nil {
		s.Chord = c.String()
		for _, x := range r.Strings {
			label := "–"
			if t, ok := c.Tone(x.Open.Class); ok {
				label = t.Label
			}
			s.Tones = append(s.Tones, label)
		}
	}
	return s
}

// TonesText writes the tones low to high.
func (s Side) TonesText() string {
	tones := slices.Clone(s.Tones)
	slices.Reverse(tones)
	return strings.Join(tones, " ")
}

// relearn puts in words what changes under the hands.
func (c *Comparison) relearn() {
	a, b := c.A.Rig, c.B.Rig
	add := func(format string, args ...any) { c.Relearn = append(c.Relearn, fmt.Sprintf(format, args...)) }
	known := map[int]bool{}
	if len(c.Runs) == 0 {
		add("no shape of three strings carries over")
	} else {
		r := c.Runs[0]
		where := "on the same strings"
		if !slices.Equal(r.A, r.B) {
			where = fmt.Sprintf("on strings %s", Numbers(r.B))
		}
		switch {
		case r.Up == 0:
			add("what is played on strings %s sounds the same %s", Numbers(r.A), where)
		case r.Up > 0:
			add("what is played on strings %s lies %s, where it sounds %s higher", Numbers(r.A), where, say.Count(r.Up, "semitone"))
		default:
			add("what is played on strings %s lies %s, where it sounds %s lower", Numbers(r.A), where, say.Count(-r.Up, "semitone"))
		}
		for _, r := range c.Runs {
			for _, s := range r.B {
				known[s] = true
			}
		}
	}
	var fresh []int
	for s := range b.Strings {
		if !known[s+1] {
			fresh = append(fresh, s+1)
		}
	}
	if len(fresh) == len(b.Strings) {
		add("every string is new")
	} else if len(fresh) > 0 {
		add("strings %s are new: no shared shape uses them", Numbers(fresh))
	}
	if c.A.Tones != nil && c.B.Tones != nil && !slices.Equal(c.A.Tones, c.B.Tones) {
		add("the tones of the open chord, low to high, are %s in place of %s", c.B.TonesText(), c.A.TonesText())
	}
	if n := len(b.Strings) - len(a.Strings); n != 0 {
		add("%d strings in place of %d", len(b.Strings), len(a.Strings))
	}
	if ratio := float64(b.Scale/a.Scale) - 1; math.Abs(ratio) >= 0.01 {
		word := "farther apart"
		if ratio < 0 {
			word = "closer together"
		}
		add("the frets lie %.0f %% %s", 100*math.Abs(ratio), word)
	}
	if gap := spacing(b)/spacing(a) - 1; math.Abs(gap) >= 0.03 {
		word := "farther apart"
		if gap < 0 {
			word = "closer together"
		}
		add("the strings lie %.0f %% %s, so slants lean differently", 100*math.Abs(gap), word)
	}
	switch {
	case len(a.Benders) == 0 && len(b.Benders) > 0:
		add("benders are new: %s", benderNames(b))
	case len(a.Benders) > 0 && len(b.Benders) == 0:
		add("there are no benders: what %s did must be slanted, glided or left out", benderNames(a))
	case benderNames(a) != benderNames(b):
		add("the benders differ: %s in place of %s", benderNames(b), benderNames(a))
	}
	// One that clamps on goes from one instrument to another.
	if had, has := a.Capo.Kind() == rig.SlidingCapo, b.Capo.Kind() == rig.SlidingCapo; had && !has {
		add("there is no sliding capo")
	} else if !had && has {
		add("a sliding capo up to fret %d is new", b.Capo.Highest)
	}
	if c.A.Tight() != c.B.Tight() {
		word := "spread"
		if c.B.Tight() {
			word = "tight"
		}
		add("scales lie %s: %.1f frets of travel of the steel a step in place of %.1f", word, c.B.Travel, c.A.Travel)
	}
}

// spacing returns the mean distance of neighbouring strings in mm.
func spacing(r *rig.Rig) float64 {
	return float64(r.NutSpread+r.BridgeSpread) / 2 / float64(max(len(r.Strings)-1, 1))
}

func benderNames(r *rig.Rig) string {
	var out []string
	for _, b := range r.Benders {
		out = append(out, b.Name)
	}
	return strings.Join(out, ", ")
}

// Numbers writes string numbers for people: "1-3, 5".
func Numbers(s []int) string {
	var out []string
	for i := 0; i < len(s); {
		j := i
		for j+1 < len(s) && s[j+1] == s[j]+1 {
			j++
		}
		switch {
		case j == i:
			out = append(out, fmt.Sprint(s[i]))
		case j == i+1:
			out = append(out, fmt.Sprint(s[i]), fmt.Sprint(s[j]))
		default:
			out = append(out, fmt.Sprintf("%d-%d", s[i], s[j]))
		}
		i = j + 1
	}
	return strings.Join(out, ", ")
}

// Signed writes a whole number with its sign: "+2", "-1", "0".
func Signed(n int) string {
	if n == 0 {
		return "0"
	}
	return fmt.Sprintf("%+d", n)
}
