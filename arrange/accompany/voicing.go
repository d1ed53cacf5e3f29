package accompany

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/feel"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// How many ways of a chord are weighed. More change nothing on the built-in rigs but
// the time that it takes.
const (
	mostWays   = 60 // ways to sound a chord, as they are found
	mostGrips  = 14 // grips of a chord, the best of these
	mostPairs  = 6  // grips for each half of a spell that has two
	mostBasses = 3  // places of the bass for each
)

// Prices beside those of package grip, in hundredths of a point.
const (
	costVoice    = 14  // each semitone that a voice of the grip moves from chord to chord: the ear follows the voices
	costTone     = 160 // a third or seventh that the grip can't have
	costCrossed  = 400 // a bass that is not below its grip
	costNoBass   = 500 // no bass in reach
	costApart    = 90  // a bass under another place of the steel than its grip, on top of the way there and back
	costDeep     = 6   // each semitone of the bass above the lowest string: a bass wants to be low
	costLeaning  = 150 // a chord under a slant, on top of what a slant costs: chords come in time, and straight ones ring together
	costWideLean = 200 // each string that a slanted chord passes over: the lean can't be set by the strings beside
	costUpNeck   = 15  // each fret above the 9th at which a grip lies: the part stays under the lead
	costMuddy    = 45  // each semitone of the grip's lowest note below clear: close chords growl down there
	costUnlike   = 120 // a chord played otherwise than where it is played most: it is learnt once
	costNear     = 30  // each semitone by which grip and bass are nearer than apart
)

// clear is the key number from which on a close chord sounds clear (E3), and apart how
// many semitones there should be between bass and grip.
const (
	clear = 52
	apart = 5
)

// struck is one stop or several that are struck at once, as package grip sees them.
type struck struct {
	notes []grip.Sounded // by string
	due   grip.Due
	grip  *grip.Grip
	low   int // its lowest and highest key number
	high  int
}

// voicing is one way to play a spell.
type voicing struct {
	chord   pitch.Chord
	grip    *struck
	second  *struck // the grip from the middle of the spell on, where one alone lacks what tells the chord; nil for the same
	bass    *struck // nil where none can be had
	whole   *struck // bass and grip at once; nil where the hand can't
	missing []string
	own     int64
}

// voicer finds the voicings of chords on one rig for one player.
type voicer struct {
	n      *grip.Neck
	lim    grip.Limits
	o      *Options
	f      *feel.Feel
	pace   grip.Pace
	chords map[string][]*voicing // what of has found
	lowest int
}

func newVoicer(r *rig.Rig, o *Options, f *feel.Feel, seconds float64) *voicer {
	lim := grip.LimitsOf(o.Level)
	v := &voicer{lim: lim, o: o, f: f, chords: map[string][]*voicing{}, pace: grip.NewPace(seconds, lim)}
	v.n = grip.NewNeck(r, lim, grip.Region{Closed: o.Closed, Square: o.Square, Low: o.Low, High: o.High})
	v.n.TakeHabits()
	v.lowest, _ = v.n.Compass()
	return v
}

// of returns the voicings of a chord as a feel colours it, the cheapest by themselves
// first; none where the rig can't sound even two of its tones.
// Where its spell has two grips to strike, they may share what tells the chord.
func (v *voicer) of(written pitch.Chord, in pitch.Key, two bool) []*voicing {
	key := fmt.Sprintf("%s in %s, %v", written, in.Text(), two)
	if out, ok := v.chords[key]; ok {
		return out
	}
	var out []*voicing
	for _, c := range coloured(written, in, v.f) {
		if out = v.voicings(c, two); len(out) > 0 && len(out[0].missing) == 0 {
			break
		}
	}
	v.chords[key] = out
	return out
}

// voicings finds the ways to play a chord: with all that gives it its colour where a
// grip has that, else with third and seventh, else with what there is.
func (v *voicer) voicings(c pitch.Chord, two bool) []*voicing {
	var out []*voicing
	for _, w := range wants(c) {
		for _, way := range v.ways(w) {
			out = append(out, v.with(c, way, nil)...)
		}
		if len(out) > 0 {
			break
		}
	}
	if third, seventh, ok := halves(c); ok && two {
		first, then := v.ways(third), v.ways(seventh)
		for _, a := range first[:min(len(first), mostPairs)] {
			for _, b := range then[:min(len(then), mostPairs)] {
				out = append(out, v.with(c, a, b)...)
			}
		}
	}
	inorder.Stable(out, func(a, b *voicing) int { return cmp.Compare(a.own, b.own) })
	return out
}

// essential reports whether a tone tells what a chord is: its third, or what stands
// for it, and its seventh.
func essential(label string) bool {
	switch label {
	case "3", "b3", "4", "2", "7", "b7", "bb7":
		return true
	}
	return false
}

// wants returns what to ask of a grip for a chord, the fullest first. The bass is
// played apart, so that it asks nothing here.
func wants(c pitch.Chord) []grip.Want {
	c.Bass = c.Root
	full := grip.WantChord(c)
	lean := full
	lean.Tones = slices.Clone(full.Tones)
	least := full
	least.Tones = slices.Clone(full.Tones)
	third := -1
	for i, t := range full.Tones {
		lean.Tones[i].Spare = !essential(t.Label)
		least.Tones[i].Spare = true
		if third < 0 && essential(t.Label) {
			third = i
		}
	}
	if third >= 0 {
		least.Tones[third].Spare = false
	}
	return []grip.Want{full, lean, least}
}

// halves returns what to ask of two grips that share a chord: its triad, and its
// seventh with whatever goes with it. ok is false for a chord without one.
func halves(c pitch.Chord) (third, seventh grip.Want, ok bool) {
	c.Bass = c.Root
	third, seventh = grip.WantChord(c), grip.WantChord(c)
	third.Tones, seventh.Tones = nil, nil
	for _, t := range grip.WantChord(c).Tones {
		isSeventh := strings.HasSuffix(t.Label, "7")
		ok = ok || isSeventh
		t.Spare = !isSeventh
		seventh.Tones = append(seventh.Tones, t)
		if !isSeventh {
			t.Spare = !essential(t.Label)
			third.Tones = append(third.Tones, t)
		}
	}
	return third, seventh, ok
}

// ways lists the grips that sound a want, as the level's player can stop them.
func (v *voicer) ways(w grip.Want) []*struck {
	o := grip.Options{Low: float64(v.o.Low), High: float64(v.lim.Fret), Strings: v.f.Strings, Cents: pitch.Cents(v.lim.Cents), Angle: v.n.MaxAngle,
		Square: v.n.MaxAngle == 0, Closed: v.o.Closed, Benders: v.lim.Benders, NoBenders: v.lim.Benders == 0, Max: 4 * mostWays}
	if v.o.High > 0 {
		o.High = float64(v.o.High)
	}
	var out []*struck
	for _, way := range grip.Find(v.n.Rig, w, o) {
		if len(out) == mostWays {
			break
		}
		if s := v.strike(way.Notes, way.Benders); s != nil && s.low != s.high {
			s.grip.Cost += lackOf(&way.Price) + v.manner(s)
			out = append(out, s)
		}
	}
	inorder.Stable(out, func(a, b *struck) int { return cmp.Compare(a.grip.Cost, b.grip.Cost) })
	return out[:min(len(out), mostGrips)]
}

// manner is what a grip costs as an accompaniment.
func (v *voicer) manner(s *struck) int32 {
	highest := 0.0
	for _, n := range s.notes {
		highest = max(highest, n.Fret)
	}
	cost := costMuddy*int32(max(0, clear-s.low)) + costUpNeck*max(0, int32(highest)-9)
	if s.grip.Slanted() {
		across := s.notes[len(s.notes)-1].String - s.notes[0].String + 1
		cost += costLeaning + costWideLean*int32(across-len(s.notes))
	}
	return cost
}

// lackOf is what a way asks beyond what the search for a tab counts.
func lackOf(p *grip.Price) int32 { return p.Lacking + p.Gaps + p.Third + p.Few }

// strike returns the stops of a way as the search has them, nil where it has none so:
// beyond the level's limits, or two strings of one pitch.
func (v *voicer) strike(notes []grip.Sounded, benders rig.BenderSet) *struck {
	s := &struck{notes: slices.Clone(notes), due: grip.Due{Pace: v.pace}}
	byPitch := slices.Clone(notes)
	inorder.Stable(byPitch, func(a, b grip.Sounded) int { return cmp.Compare(b.Name.Key(), a.Name.Key()) })
	for i, n := range byPitch {
		if i > 0 && n.Name.Key() == byPitch[i-1].Name.Key() {
			return nil
		}
		s.due.Wants = append(s.due.Wants, grip.Note{Ref: tune.Ref{Note: len(byPitch) - 1 - i}, Key: int16(n.Name.Key()), Kind: grip.Begun, From: -1, Name: n.Name})
	}
	s.low, s.high = byPitch[len(byPitch)-1].Name.Key(), byPitch[0].Name.Key()
	grips := v.n.Grips(&s.due)
	for gi := range grips {
		g := grips[gi]
		if g.Benders != benders || g.Node > 0 || !slices.Equal(g.Strings[:len(byPitch)], stringsOf(byPitch)) {
			continue
		}
		if s.grip == nil || g.Cost < s.grip.Cost {
			s.grip = &g
		}
	}
	if s.grip == nil {
		return nil
	}
	// A bender may stop a string at another fret than it was asked for.
	for i := range s.notes {
		j := slices.Index(s.grip.Strings[:len(byPitch)], int8(s.notes[i].String))
		if f := float64(s.grip.Frets[j]); math.Abs(f-s.notes[i].Fret) > 0.5 {
			s.notes[i].Fret = f
		}
	}
	return s
}

func stringsOf(notes []grip.Sounded) []int8 {
	out := make([]int8, len(notes))
	for i, n := range notes {
		out[i] = int8(n.String)
	}
	return out
}

// with gives a grip its bass: the cheapest few places.
func (v *voicer) with(c pitch.Chord, g, second *struck) []*voicing {
	var out []*voicing
	var missing []string
	cost := int64(g.grip.Cost)
	if second != nil {
		cost += int64(second.grip.Cost) + v.step(g, second) + costVoice*int64(moved(g, second))
	}
	for _, t := range c.Tones {
		if essential(t.Label) && !g.has(c.Class(t)) && (second == nil || !second.has(c.Class(t))) {
			missing = append(missing, t.Label)
			cost += costTone
		}
	}
	for _, b := range v.basses(c.Bass, g) {
		x := &voicing{chord: c, grip: g, second: second, bass: b, missing: missing, own: cost + v.under(g, b)}
		x.whole = v.together(b, g)
		out = append(out, x)
	}
	if len(out) == 0 {
		out = append(out, &voicing{chord: c, grip: g, second: second, missing: missing, own: cost + costNoBass})
	}
	return out
}

func (s *struck) has(c pitch.Class) bool {
	return slices.ContainsFunc(s.notes, func(n grip.Sounded) bool { return n.Name.Key()%12 == c.Semitone() })
}

// under is what a bass asks beside its grip: the way there and back, and its height.
func (v *voicer) under(g, b *struck) int64 {
	cost := int64(b.grip.Cost) + v.step(g, b) + v.step(b, g) + costDeep*int64(b.low-v.lowest)
	if b.low > g.low {
		cost += costCrossed
	}
	cost += costNear * int64(max(0, apart-max(0, g.low-b.low)))
	if b.grip.Place != g.grip.Place && b.grip.Kind != steel.Lifted {
		cost += costApart
	}
	return cost
}

// step is what moving the hands from one to the other costs.
func (v *voicer) step(a, b *struck) int64 {
	st, ok := v.n.Step(a.grip.Hand, a.grip, b.grip, &a.due, &b.due)
	if !ok {
		return costNoBass
	}
	return int64(st.Sum())
}

// basses lists where a class can be played under a grip, the cheapest first.
func (v *voicer) basses(c pitch.Class, g *struck) []*struck {
	type rated struct {
		*struck
		cost int64
	}
	var all []rated
	for str := 1; str <= v.n.Strings; str++ {
		for _, b := range v.single(str, c, g) {
			all = append(all, rated{b, v.under(g, b)})
		}
	}
	inorder.Stable(all, func(a, b rated) int { return cmp.Compare(a.cost, b.cost) })
	var out []*struck
	for _, r := range all[:min(len(all), mostBasses)] {
		out = append(out, r.struck)
	}
	return out
}

// single lists the ways to play a class alone on one string, with the grip's benders,
// with one of them or with none.
func (v *voicer) single(str int, c pitch.Class, g *struck) []*struck {
	var out []*struck
	sets := []rig.BenderSet{g.grip.Benders}
	if sets[0] != 0 {
		sets = append(sets, 0)
	}
	for i := range v.n.Rig.Benders {
		if one := rig.BenderSet(1) << i; sets[0] != one && sets[0].Has(i) {
			sets = append(sets, one)
		}
	}
	for _, set := range sets {
		open := v.n.Rig.OpenKey(str, set)
		for fret := pitch.Mod(c.Semitone()-open, 12); fret <= v.n.High; fret += 12 {
			if fret == 0 && v.o.Closed || fret > 0 && !v.n.Region.Holds(fret) {
				continue
			}
			name, ok := pitch.Spell(open+fret, c.Letter)
			if !ok {
				continue
			}
			out = append(out, v.alone(grip.Sounded{String: str, Fret: float64(fret), Name: name}, g, set)...)
		}
	}
	return out
}

// alone lists the ways to lay the steel for one note: as it lies for the grip, and by
// itself.
func (v *voicer) alone(n grip.Sounded, g *struck, set rig.BenderSet) []*struck {
	s := &struck{notes: []grip.Sounded{n}, low: n.Name.Key(), high: n.Name.Key(), due: grip.Due{Pace: v.pace}}
	s.due.Wants = []grip.Note{{Key: int16(n.Name.Key()), Kind: grip.Begun, From: -1, Name: n.Name}}
	grips := v.n.Grips(&s.due)
	grips = v.n.Borrow(slices.Clip(slices.Clone(grips)), len(grips), &s.due, &g.due, v.n.Grips(&g.due))
	var best *struck
	bestCost := int64(0)
	for gi := range grips {
		x := grips[gi]
		if int(x.Strings[0]) != n.String || x.Node > 0 || x.Benders != set {
			continue
		}
		t := *s
		t.grip = &x
		if c := int64(x.Cost) + v.step(g, &t) + v.step(&t, g); best == nil || c < bestCost {
			best, bestCost = &t, c
		}
	}
	if best == nil {
		return nil
	}
	return []*struck{best}
}

// together returns bass and grip struck at once, nil where one placement can't.
func (v *voicer) together(b, g *struck) *struck {
	n := b.notes[0]
	if b.low >= g.low || slices.ContainsFunc(g.notes, func(x grip.Sounded) bool { return x.String == n.String }) {
		return nil
	}
	notes := append(slices.Clone(g.notes), n)
	inorder.Stable(notes, func(a, b grip.Sounded) int { return cmp.Compare(a.String, b.String) })
	return v.strike(notes, g.grip.Benders)
}

// change is what it costs to go from one voicing to the next: moving the steel, and
// every voice of the grip by how far it moves to the nearest of the next.
func (v *voicer) change(a, b *voicing) int64 {
	from := a.half(true)
	return v.step(from, b.grip) + costVoice*int64(moved(from, b.grip)+moved(b.grip, from))/2
}

// half returns the grip of a voicing in one half of its spell.
func (x *voicing) half(second bool) *struck {
	if second && x.second != nil {
		return x.second
	}
	return x.grip
}

// moved sums how far each note of one is from the nearest of the other, in semitones.
func moved(a, b *struck) int {
	sum := 0
	for _, x := range a.notes {
		least := 1 << 10
		for _, y := range b.notes {
			d := x.Name.Key() - y.Name.Key()
			least = min(least, max(d, -d))
		}
		sum += least
	}
	return sum
}

// lead finds the cheapest sequence of voicings, one for each spell: dynamic programming,
// since what a change costs depends on the two beside it alone. Of equals the first.
func (v *voicer) lead(choices [][]*voicing) (way []*voicing, cost int64) {
	if len(choices) == 0 {
		return nil, 0
	}
	back := make([][]int, len(choices))
	cur := make([]int64, len(choices[0]))
	for i, x := range choices[0] {
		cur[i] = x.own
	}
	for k := 1; k < len(choices); k++ {
		next := make([]int64, len(choices[k]))
		back[k] = make([]int, len(choices[k]))
		for j, y := range choices[k] {
			best, at := int64(-1), 0
			for i, x := range choices[k-1] {
				if c := cur[i] + v.change(x, y); best < 0 || c < best {
					best, at = c, i
				}
			}
			next[j], back[k][j] = best+y.own, at
		}
		cur = next
	}
	at := 0
	for i := range cur {
		if cur[i] < cur[at] {
			at = i
		}
	}
	cost = cur[at]
	way = make([]*voicing, len(choices))
	for k := len(choices) - 1; k >= 0; k-- {
		way[k] = choices[k][at]
		if k > 0 {
			at = back[k][at]
		}
	}
	return way, cost
}

// leadAlike is lead with chords that come again learnt once: of each chord the voicing that
// lead takes most often, of several the cheapest, is the model, and the search is run again
// with a price on every other.
func (v *voicer) leadAlike(choices [][]*voicing) []*voicing {
	way, _ := v.lead(choices)
	times := map[*voicing]int{}
	for _, x := range way {
		times[x]++
	}
	plain := map[*voicing]*voicing{} // a dearer voicing → itself
	alike := make([][]*voicing, len(choices))
	for k, all := range choices {
		model := all[0]
		for _, x := range all { // the cheapest come first
			if times[x] > times[model] {
				model = x
			}
		}
		for _, x := range all {
			y := x
			if x != model {
				dearer := *x
				dearer.own += costUnlike
				y = &dearer
			}
			plain[y] = x
			alike[k] = append(alike[k], y)
		}
	}
	way, _ = v.lead(alike)
	for k, x := range way {
		way[k] = plain[x]
	}
	return way
}
