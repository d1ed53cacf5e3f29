package grip

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// Options narrows Find. The zero value is a good start.
type Options struct {
	// Low and High are the region of the neck, in frets, that the steel may lie
	// in; 0 for both is the whole neck. Open strings are always at hand, but with
	// a Low above 0 something must be stopped.
	Low, High float64
	// Strings is how many strings are plucked at once at most, no more than
	// MaxNotes; 0 is 3, for thumb, index and middle.
	Strings int
	// Cents is how far off a string under a slant may sound; 0 is 12, about
	// twice what a listener can tell.
	Cents pitch.Cents
	// Angle is how far the steel may lean, in degrees; 0 is the rig's own limit.
	Angle float64
	// Square leaves slants and splits out.
	Square bool
	// Closed leaves open strings out.
	Closed bool
	// Benders is how many benders may be engaged at once; 0 is 2. NoBenders is
	// none.
	Benders   int
	NoBenders bool
	// Max is how many ways to give, the best first; 0 is 40, negative is all.
	Max int
	// Prices are other prices than Standard's; nil for those.
	Prices *Prices
}

// maxSpan is how many frets may lie between the two ends of a slant where a
// page asks: more fits no usual steel and angle.
const maxSpan = 4

// Way is one way to sound what is wanted.
type Way struct {
	Placement steel.Placement
	Benders   rig.BenderSet
	Notes     []Sounded // by string, string 1 first
	Missing   []string  // labels of the tones left out
	// Inversion is the label of the lowest tone sounded: "R" is root position.
	Inversion string
	Angle     float64     // degrees from square, forward slants positive
	CentsOff  pitch.Cents // of the note farthest off
	// More are other strings that sound wanted tones under the same placement
	// and benders.
	More  []int
	Price Price
}

// Sounded is one string of a grip and what it sounds.
type Sounded struct {
	String   int
	Fret     float64 // 0 is open
	Name     pitch.Name
	Label    string // as a player calls the tone: "R", "b7"
	CentsOff pitch.Cents
}

// Price is what a way to sound a chord asks, part by part, in hundredths of a
// point; the least comes first.
type Price struct {
	Alone          // what the search counts for the same grip
	Fingers  int32 // the picking fingers away from their homes, at their best
	Lacking  int32 // tones left out
	Inverted int32 // another tone than the root lowest
	Gaps     int32 // strings skipped between those plucked
	Third    int32 // three frets or more under one slant
	Engaging int32 // benders taken up from rest
	Few      int32 // fewer strings than there are tones and fingers for
}

// Sum returns the whole price.
func (p *Price) Sum() int32 {
	return p.Alone.sum() + p.Fingers + p.Lacking + p.Inverted + p.Gaps + p.Third + p.Engaging + p.Few
}

// Find returns the ways to sound what is wanted on a rig, the best first. It is
// empty when there is none. Use the rig with its capo applied.
//
// The ways are those of the search (Neck.stops): every choice of strings that
// sound enough of what is wanted, open or at one whole fret each, that one
// placement of the steel stops.
func Find(r *rig.Rig, w Want, o Options) []Way {
	if len(w.Tones) == 0 {
		return nil
	}
	o.fillDefaults()
	f := &finder{n: NewNeck(r, o.limits(r), o.region()), w: w, o: o}
	for key := range f.tones {
		f.tones[key] = w.toneOf(key)
	}
	for i, t := range w.Tones {
		if !t.Spare {
			f.needed |= 1 << i
		}
	}
	for b := range f.n.sets {
		f.withBenders(&f.n.sets[b])
	}
	inorder.Stable(f.found, func(a, b *found) int {
		return cmp.Or(cmp.Compare(a.price.Sum(), b.price.Sum()), a.compare(b))
	})
	if o.Max > 0 {
		f.found = f.found[:min(o.Max, len(f.found))]
	}
	out := make([]Way, len(f.found))
	for i, x := range f.found {
		out[i] = f.way(x)
	}
	return out
}

// fillDefaults puts the usual values where nothing is asked for.
func (o *Options) fillDefaults() {
	if o.Strings <= 0 {
		o.Strings = 3
	}
	o.Strings = min(o.Strings, MaxNotes)
	if o.Cents <= 0 {
		o.Cents = 12
	}
	if o.Benders <= 0 {
		o.Benders = 2
	}
	if o.NoBenders {
		o.Benders = 0
	}
	if o.Max == 0 {
		o.Max = 40
	}
}

// limits returns what a page assumes of a player: whatever the rig allows.
func (o *Options) limits(r *rig.Rig) Limits {
	l := Limits{Angle: o.Angle, SlantSpan: maxSpan, Reverse: true, Split: true, Cents: float64(o.Cents), Fret: r.Frets, Benders: o.Benders, Prices: o.Prices}
	if l.Angle <= 0 {
		l.Angle = r.Steel.MaxSlant
	}
	if o.High > 0 && o.High < 1 {
		l.Fret = 0 // no whole fret lies in the region
	}
	return l
}

// region returns the whole frets that the steel may lie at.
func (o *Options) region() Region {
	return Region{Closed: o.Closed, Square: o.Square, Low: int(math.Ceil(o.Low)), High: int(math.Floor(o.High))}
}

// finder is one search for the ways to sound a want.
type finder struct {
	n      *Neck
	w      Want
	o      Options
	tones  [keysTried]int8 // the wanted tone that each key number sounds, −1 for none
	needed uint32          // tones that must sound, by bit
	found  []*found

	// The strings picked so far, string 1 first.
	set     *bendSet
	choices [rig.MaxStrings][]int8 // frets at which each string sounds a wanted tone, 0 for open
	picked  []picked
	grip    Grip // scratch for the price
	notes   [MaxNotes]Note
}

// keysTried bounds the key numbers that a string can reach.
const keysTried = 256

// picked is one string as it may be plucked.
type picked struct {
	str, fret int8 // fret 0 is open
	tone      int8
	key       int16
}

// found is a way not yet dressed up.
type found struct {
	place   *Place
	benders rig.BenderSet
	picked  []picked // by string
	have    uint32   // tones sounded
	lowest  int8     // the tone sounded lowest
	price   Price
}

// compare orders ways of one price: nearer the nut first, then nearer string 1.
func (x *found) compare(y *found) int {
	return slices.CompareFunc(x.picked, y.picked, func(a, b picked) int {
		return cmp.Or(cmp.Compare(a.fret, b.fret), cmp.Compare(a.str, b.str))
	})
}

// frets counts the different frets at which a way stops strings.
func (x *found) frets() int {
	var seen uint64
	for _, p := range x.picked {
		if p.fret > 0 {
			seen |= 1 << p.fret
		}
	}
	return bits.OnesCount64(seen)
}

// withBenders tries every choice of strings under one set of benders.
func (f *finder) withBenders(b *bendSet) {
	f.set = b
	for s := range f.n.Strings {
		f.choices[s] = f.choices[s][:0]
		for fret := 0; fret <= f.n.High; fret++ {
			if fret > 0 && fret < f.n.low || fret == 0 && f.o.Closed {
				continue
			}
			if f.toneOf(int(b.open[s])+fret) >= 0 {
				f.choices[s] = append(f.choices[s], int8(fret))
			}
		}
	}
	f.pick(1, 0, span{})
}

func (f *finder) toneOf(key int) int8 {
	if key < 0 || key >= keysTried {
		return -1
	}
	return f.tones[key]
}

// span is what the strings picked so far ask of the steel.
type span struct {
	lowest, highest int8 // stopped frets, 0 when there are none
	past            bool // an open string lies beyond the stopped ones, so that no more can follow
}

// with adds a fret to a span; ok reports whether one placement may still reach
// all of it.
func (s span) with(fret int8, limit int) (out span, ok bool) {
	switch {
	case fret == 0:
		s.past = s.highest > 0
		return s, true
	case s.past:
		return s, false
	case s.highest == 0:
		return span{lowest: fret, highest: fret}, true
	}
	s.lowest, s.highest = min(s.lowest, fret), max(s.highest, fret)
	return s, int(s.highest-s.lowest) <= limit
}

// pick takes what is picked in, and goes on with every choice of one more
// string from s on.
func (f *finder) pick(s int, have uint32, at span) {
	f.take(have)
	left := f.o.Strings - len(f.picked)
	if bits.OnesCount32(f.needed&^have) > left || left == 0 {
		return
	}
	for ; s <= f.n.Strings; s++ {
		for _, fret := range f.choices[s-1] {
			next, ok := at.with(fret, f.n.Limits.SlantSpan)
			if !ok {
				continue
			}
			key := f.set.open[s-1] + int16(fret)
			tone := f.tones[key]
			f.picked = append(f.picked, picked{int8(s), fret, tone, key})
			f.pick(s+1, have|1<<tone, next)
			f.picked = f.picked[:len(f.picked)-1]
		}
	}
}

// take keeps what is picked when it sounds enough of what is wanted and some
// placement stops it.
func (f *finder) take(have uint32) {
	if len(f.picked) == 0 || f.needed&^have != 0 || bits.OnesCount32(have) < min(2, len(f.w.Tones)) {
		return
	}
	var fret [rig.MaxStrings]int8
	var stopped, used uint16
	lowest := f.picked[0]
	for _, p := range f.picked {
		bit := uint16(1) << (p.str - 1)
		used |= bit
		fret[p.str-1] = p.fret
		if p.fret > 0 {
			stopped |= bit
		}
		if p.key < lowest.key {
			lowest = p
		}
	}
	if f.w.Bass >= 0 && int(lowest.tone) != f.w.Bass || stopped == 0 && f.o.Low > 0 || !f.set.allServe(used) {
		return
	}
	pl := f.n.places.stops(stopped, used&^stopped, &fret)
	if pl == nil || f.outside(pl) {
		return
	}
	x := &found{place: pl, benders: f.set.set, picked: slices.Clone(f.picked), have: have, lowest: lowest.tone}
	x.price = f.price(x)
	f.found = append(f.found, x)
}

// outside reports whether easing has moved a slant out of the region asked for.
func (f *finder) outside(pl *Place) bool {
	if !pl.Slanted() {
		return false
	}
	lo, hi := min(pl.FirstFret, pl.LastFret), max(pl.FirstFret, pl.LastFret)
	return lo < f.o.Low || f.o.High > 0 && hi > f.o.High
}

// price reckons a way as the search would, and adds what the choice of tones
// and strings asks.
func (f *finder) price(x *found) Price {
	g := &f.grip
	*g = Grip{Place: x.place, Benders: x.benders}
	high := slices.Clone(x.picked)
	inorder.Stable(high, func(a, b picked) int { return cmp.Compare(b.key, a.key) })
	for i, p := range high {
		g.Strings[i], g.Frets[i], g.Acts[i] = p.str, p.fret, Pluck
		g.plucked |= 1 << (p.str - 1)
		f.notes[i] = Note{Key: p.key, Kind: Begun}
	}
	f.n.price(g, f.notes[:len(high)])
	out := Price{Alone: f.n.Alone(g, f.notes[:len(high)]), Fingers: math.MaxInt32}
	for _, h := range g.Hands {
		out.Fingers = min(out.Fingers, f.n.Hands[h].Cost)
	}
	for i, t := range f.w.Tones {
		if x.have>>i&1 == 0 {
			out.Lacking += f.n.prices.lacking(t.Role)
		}
	}
	if f.w.Bass < 0 && f.w.Chord != nil && f.w.Tones[x.lowest].Role != Root {
		out.Inverted = f.n.prices.Inverted
	}
	out.Third = f.n.prices.Third * int32(max(0, x.frets()-2))
	out.Engaging = f.n.engaging(x.benders)
	n := len(x.picked)
	out.Gaps = f.n.prices.Gap * int32(int(x.picked[n-1].str-x.picked[0].str)+1-n)
	out.Few = f.n.prices.Few * int32(max(0, min(f.o.Strings, max(len(f.w.Tones), 2))-n))
	return out
}

// lacking returns what it costs to leave a tone out.
func (p *Prices) lacking(r ChordRole) int32 {
	switch r {
	case Root:
		return p.NoRoot
	case Fifth:
		return p.NoFifth
	}
	return p.NoTone
}

// way dresses a way up.
func (f *finder) way(x *found) Way {
	p := x.place.Placement
	g := Way{Placement: p, Benders: x.benders, Inversion: f.w.Tones[x.lowest].Label, Angle: f.n.Geometry.Angle(p), Price: x.price}
	for _, c := range x.picked {
		t := f.w.Tones[c.tone]
		n := Sounded{String: int(c.str), Fret: f.n.Geometry.Contact(p, int(c.str)), Name: nameOf(int(c.key), t.Class), Label: t.Label}
		n.CentsOff = f.n.Geometry.CentsOff(p, n.String, x.benders, int(c.key))
		g.Notes = append(g.Notes, n)
		if math.Abs(float64(n.CentsOff)) > math.Abs(float64(g.CentsOff)) {
			g.CentsOff = n.CentsOff
		}
	}
	for i, t := range f.w.Tones {
		if x.have>>i&1 == 0 {
			g.Missing = append(g.Missing, t.Label)
		}
	}
	g.More = f.more(&g)
	return g
}

// more lists the other strings that sound wanted tones as the steel lies.
func (f *finder) more(g *Way) []int {
	var out []int
	stops := make([]Stop, len(g.Notes), len(g.Notes)+1)
	for i, n := range g.Notes {
		stops[i] = Stop{n.String, n.Fret}
	}
	for s := 1; s <= f.n.Strings; s++ {
		if slices.ContainsFunc(g.Notes, func(n Sounded) bool { return n.String == s }) {
			continue
		}
		at := f.n.Geometry.Contact(g.Placement, s)
		if at == 0 {
			far, near := openBeside(g.Placement, append(stops, Stop{String: s}))
			if f.o.Closed || !f.n.Geometry.Clears(g.Placement, far, near) {
				continue
			}
		}
		exact := f.n.Geometry.Key(g.Placement, s, g.Benders)
		key := math.Round(exact)
		if f.toneOf(int(key)) >= 0 && math.Abs(100*(exact-key)) <= float64(f.o.Cents) {
			out = append(out, s)
		}
	}
	return out
}
