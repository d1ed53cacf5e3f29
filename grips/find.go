package grips

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// Options narrows the search. The zero value is a good start.
type Options struct {
	// Low and High are the region of the neck, in frets, that the bar may lie
	// in; 0 for both is the whole neck. Open strings are always at hand, but
	// with a Low above 0 something must be stopped.
	Low, High float64
	// Strings is the most strings plucked at once; 0 is 3, for thumb, index and
	// middle.
	Strings int
	// Cents is how far off a string under a slant may sound; 0 is 12, about
	// twice what a listener can tell.
	Cents pitch.Cents
	// Angle is the most lean in degrees; 0 is the rig's own limit.
	Angle float64
	// Square leaves slants and splits out.
	Square bool
	// Closed leaves open strings out.
	Closed bool
	// Benders is the most benders engaged at once; 0 is 2. NoBenders is none.
	Benders   int
	NoBenders bool
	// Most is how many grips to give, the best first; 0 is 40, negative is all.
	Most int
}

// SlantSpan is the most frets between the two ends of a slant that are tried;
// more doesn't fit any usual bar and angle.
const SlantSpan = 4

// Grip is one way to sound what is wanted.
type Grip struct {
	Placement steel.Placement
	Benders   rig.BenderSet
	Notes     []Note // by string, string 1 first
	Missing   []string
	// Inversion is the label of the lowest tone sounded: "R" is root position.
	Inversion string
	Angle     float64
	CentsOff  pitch.Cents // of the note farthest off
	// More are other strings that sound wanted tones under the same placement
	// and benders.
	More []int
	Cost Cost
}

// Note is one string of a grip.
type Note struct {
	String   int
	Fret     float64 // 0 is open
	Name     pitch.Name
	Label    string
	CentsOff pitch.Cents
}

// Cost is what speaks against a grip, part by part; the least comes first.
type Cost struct {
	Missing float64 // tones left out
	Lean    float64 // a slant, split or nose
	Cents   float64 // strings out of tune
	Benders float64
	Mixed   float64 // open strings beside stopped ones
	Span    float64 // strings skipped, and few strings plucked
	Bass    float64 // another tone than the root lowest
	Neck    float64 // far from the easiest part of the neck
}

// The weights of the parts, chosen so that full straight grips come before
// partial or leaning ones (common practice, no source); the tests in
// find_test.go pin what comes first.
const (
	missingRoot   = 2.0
	missingFifth  = 1.0
	missingOther  = 1.5
	leanFixed     = 1.0
	leanPerDegree = 1.0 / 20
	splitFixed    = 2.0
	noseFixed     = 0.8
	perCent       = 1.0 / 8
	perBender     = 0.6
	mixedFixed    = 0.5
	tippedFixed   = 0.8 // open strings on both sides of the bar, which must be tipped to clear them
	perSkip       = 0.15
	perFewer      = 0.4 // a string fewer than the grip could have
	inverted      = 0.4
	perFretAbove  = 0.05 // above fret 12
	perFretBelow  = 0.1  // below fret 3, where frets are wide
)

// Sum gives the whole cost.
func (c Cost) Sum() float64 {
	return c.Missing + c.Lean + c.Cents + c.Benders + c.Mixed + c.Span + c.Bass + c.Neck
}

// finder is one search.
type finder struct {
	r     *rig.Rig
	geo   *steel.Geometry
	w     Want
	o     Options
	n     int
	tones [keysTried]int8      // the wanted tone of each key number, −1 for none
	open  [rig.MostStrings]int // the key of each string under the benders in hand
	leans []lean
	out   []*Grip
	seen  map[string]bool
}

// choice is one string as it may be plucked: open or under the bar.
type choice struct {
	str     int
	stopped bool
	fret    float64
	key     int
	tone    int
	cents   pitch.Cents
}

// Find gives the ways to sound what is wanted on a rig, the best first. It is
// empty when there is none. Use the rig with its capo applied.
func Find(r *rig.Rig, w Want, o Options) []Grip {
	if o.Strings <= 0 {
		o.Strings = 3
	}
	if o.Cents <= 0 {
		o.Cents = 12
	}
	if o.Angle <= 0 {
		o.Angle = r.Steel.MaxSlant
	}
	if o.Benders <= 0 {
		o.Benders = 2
	}
	if o.Most == 0 {
		o.Most = 40
	}
	f := &finder{r: r, geo: steel.New(r), w: w, o: o, n: len(r.Strings), seen: map[string]bool{}}
	if len(w.Tones) == 0 {
		return nil
	}
	f.tabulate()
	if !o.Square {
		f.layLeans()
	}
	for set := range rig.BenderSet(1) << len(r.Benders) {
		if k := bits.OnesCount16(uint16(set)); k > o.Benders || k > 0 && o.NoBenders {
			continue
		}
		f.withBenders(set)
	}
	slices.SortStableFunc(f.out, func(a, b *Grip) int {
		return cmp.Or(cmp.Compare(math.Round(a.Cost.Sum()*1e6), math.Round(b.Cost.Sum()*1e6)), compareNotes(a.Notes, b.Notes))
	})
	if o.Most > 0 && len(f.out) > o.Most {
		f.out = f.out[:o.Most]
	}
	out := make([]Grip, len(f.out))
	for i, g := range f.out {
		g.More = f.more(g)
		out[i] = *g
	}
	return out
}

func compareNotes(a, b []Note) int {
	return slices.CompareFunc(a, b, func(x, y Note) int {
		return cmp.Or(cmp.Compare(x.Fret, y.Fret), cmp.Compare(x.String, y.String))
	})
}

// toneOf finds the wanted tone that a key number sounds, −1 for none.
func (f *finder) toneOf(key int) int {
	if key < 0 || key >= len(f.tones) {
		return -1
	}
	return int(f.tones[key])
}

// keysTried bounds the key numbers that a string can reach.
const keysTried = 256

// tabulate works out which tone every key number sounds.
func (f *finder) tabulate() {
	for key := range f.tones {
		f.tones[key] = -1
		for i, t := range f.w.Tones {
			if t.Key == key || t.Key < 0 && mod12(key) == t.Class.Semitone() {
				f.tones[key] = int8(i)
				break
			}
		}
	}
}

func mod12(k int) int { return ((k % 12) + 12) % 12 }

// region gives the lowest and highest whole fret that the bar may lie at.
func (f *finder) region() (lo, hi int) {
	lo, hi = max(1, int(math.Ceil(f.o.Low))), f.r.Frets
	if f.o.High > 0 {
		hi = min(hi, int(math.Floor(f.o.High)))
	}
	return lo, hi
}

// withBenders tries every placement under one set of benders.
func (f *finder) withBenders(set rig.BenderSet) {
	var open []choice
	for s := 1; s <= f.n; s++ {
		key := f.r.OpenKey(s, set)
		f.open[s-1] = key
		if t := f.toneOf(key); t >= 0 {
			open = append(open, choice{str: s, key: key, tone: t})
		}
	}
	if f.o.Closed {
		open = nil
	}
	if f.o.Low <= 0 {
		f.pick(steel.Placement{}, set, open, nil)
	}
	lo, hi := f.region()
	for fret := lo; fret <= hi; fret++ {
		f.straight(set, fret, open)
	}
	for i := range f.leans {
		f.leaning(set, &f.leans[i], open)
	}
}

// lean is a slant or split that can be laid, and where it stops each string.
type lean struct {
	steel.Placement
	contact [rig.MostStrings]float64
}

// layLeans lists every slant and split through two whole frets of the region.
func (f *finder) layLeans() {
	lo, hi := f.region()
	for a := 1; a < f.n; a++ {
		for b := a + 1; b <= f.n; b++ {
			for fa := lo; fa <= hi; fa++ {
				for fb := max(lo, fa-SlantSpan); fb <= min(hi, fa+SlantSpan); fb++ {
					p := steel.Placement{Kind: steel.Forward, First: int8(a), Last: int8(b), FirstFret: float64(fa), LastFret: float64(fb)}
					if fa < fb {
						p.Kind = steel.Reverse
					}
					f.layLean(p)
					p.Kind = steel.Split
					f.layLean(p)
				}
			}
		}
	}
}

func (f *finder) layLean(p steel.Placement) {
	if p.FirstFret == p.LastFret || !f.canLay(p) {
		return
	}
	l := lean{Placement: p}
	for s := int(p.First); s <= int(p.Last); s++ {
		l.contact[s-1] = f.geo.Contact(p, s)
	}
	f.leans = append(f.leans, l)
}

// stop gives string s under the bar as a choice, when it sounds a wanted tone
// near enough.
func (f *finder) stop(s int, contact float64) (choice, bool) {
	return f.stopWithin(s, contact, f.o.Cents)
}

func (f *finder) stopWithin(s int, contact float64, within pitch.Cents) (choice, bool) {
	exact := float64(f.open[s-1]) + contact
	key := int(math.Round(exact))
	t := f.toneOf(key)
	if t < 0 {
		return choice{}, false
	}
	cents := pitch.Cents(100 * (exact - float64(key)))
	return choice{str: s, stopped: true, fret: contact, key: key, tone: t, cents: cents}, math.Abs(float64(cents)) <= float64(within)
}

// straight tries the bar square at a fret.
func (f *finder) straight(set rig.BenderSet, fret int, open []choice) {
	var under []choice
	for s := 1; s <= f.n; s++ {
		if c, ok := f.stop(s, float64(fret)); ok {
			under = append(under, c)
		}
	}
	for i := range under {
		for j := i; j < len(under); j++ {
			p := steel.Placement{Kind: steel.Straight, First: int8(under[i].str), Last: int8(under[j].str), FirstFret: float64(fret), LastFret: float64(fret)}
			must := []choice{under[i]}
			if j > i {
				must = append(must, under[j])
			}
			f.pick(p, set, append(between(under, i, j), outside(open, p)...), must)
		}
	}
}

func between(under []choice, i, j int) []choice {
	if j <= i+1 {
		return nil
	}
	return slices.Clone(under[i+1 : j])
}

// outside keeps the open strings that a bar lying on First to Last leaves free.
func outside(open []choice, p steel.Placement) []choice {
	var out []choice
	for _, c := range open {
		if !p.Touches(c.str) {
			out = append(out, c)
		}
	}
	return out
}

func (f *finder) canLay(p steel.Placement) bool {
	return math.Abs(f.geo.Angle(p)) <= f.o.Angle && f.geo.Check(p) == nil
}

// leaning tries a slant or split: of a slant both outer strings are plucked,
// of a split the two under the nose and the further one.
func (f *finder) leaning(set rig.BenderSet, l *lean, open []choice) {
	a, b := int(l.First), int(l.Last)
	first, ok := f.stop(a, l.contact[a-1])
	if !ok {
		return
	}
	last, ok := f.stop(b, l.contact[b-1])
	if !ok {
		return
	}
	if l.Kind == steel.Split {
		if second, ok := f.stop(a+1, l.contact[a]); ok {
			f.pick(l.Placement, set, outside(open, l.Placement), []choice{first, second, last})
		}
		return
	}
	var inner []choice
	for s := a + 1; s < b; s++ {
		// Twice the tolerance can be shared out by easing the bar.
		if c, ok := f.stopWithin(s, l.contact[s-1], 2*f.o.Cents); ok {
			inner = append(inner, c)
		}
	}
	f.pick(l.Placement, set, append(inner, outside(open, l.Placement)...), []choice{first, last})
}

// pick gives every grip of a placement that plucks all of must and any of may.
func (f *finder) pick(p steel.Placement, set rig.BenderSet, may, must []choice) {
	if len(must) > f.o.Strings {
		return
	}
	chosen := slices.Clone(must)
	var walk func(i int)
	walk = func(i int) {
		if i == len(may) {
			f.add(p, set, chosen)
			return
		}
		walk(i + 1)
		if len(chosen) < f.o.Strings {
			chosen = append(chosen, may[i])
			walk(i + 1)
			chosen = chosen[:len(chosen)-1]
		}
	}
	walk(0)
}

// add takes a grip in when it sounds enough of what is wanted.
func (f *finder) add(p steel.Placement, set rig.BenderSet, chosen []choice) {
	if len(chosen) == 0 {
		return
	}
	var have uint32
	lowest := chosen[0]
	idle := set // benders that move no string plucked
	for _, c := range chosen {
		have |= 1 << uint(c.tone)
		if c.key < lowest.key {
			lowest = c
		}
		for i, b := range f.r.Benders {
			if idle.Has(i) && slices.ContainsFunc(b.Moves, func(m rig.Move) bool { return m.String == c.str }) {
				idle &^= 1 << uint(i)
			}
		}
	}
	if idle != 0 || f.w.Bass >= 0 && lowest.tone != f.w.Bass || bits.OnesCount32(have) < min(2, len(f.w.Tones)) {
		return
	}
	var cost Cost
	var missing []string
	for i, t := range f.w.Tones {
		if have&(1<<uint(i)) != 0 {
			continue
		}
		if !t.Spare {
			return
		}
		missing = append(missing, t.Label)
		switch t.Label {
		case "R":
			cost.Missing += missingRoot
		case "5":
			cost.Missing += missingFifth
		default:
			cost.Missing += missingOther
		}
	}
	p, ok := f.lay(p, chosen)
	if !ok {
		return
	}
	if p, chosen, ok = f.ease(p, chosen); !ok || !f.clears(p, chosen) {
		return
	}
	g := Grip{Placement: p, Benders: set, Missing: missing, Inversion: f.w.Tones[lowest.tone].Label, Angle: f.geo.Angle(p)}
	for _, c := range chosen {
		t := f.w.Tones[c.tone]
		name := nameOf(c.key, t.Class)
		g.Notes = append(g.Notes, Note{c.str, c.fret, name, t.Label, c.cents})
		if math.Abs(float64(c.cents)) > math.Abs(float64(g.CentsOff)) {
			g.CentsOff = c.cents
		}
	}
	slices.SortFunc(g.Notes, func(a, b Note) int { return cmp.Compare(a.String, b.String) })
	k := g.id()
	if f.seen[k] {
		return
	}
	f.seen[k] = true
	g.Cost = f.price(&g, cost, lowest)
	f.out = append(f.out, &g)
}

// nameOf spells a key number as a class, in the octave that fits.
func nameOf(key int, c pitch.Class) pitch.Name {
	if n, ok := pitch.Spell(key, c.Letter); ok {
		return n
	}
	return pitch.SpellKey(key, 0)
}

// lay brings a square placement to the one a player would use, and says
// whether it can be laid.
func (f *finder) lay(p steel.Placement, chosen []choice) (steel.Placement, bool) {
	if p.Kind != steel.Straight {
		return p, true
	}
	far, near := false, false
	for _, c := range chosen {
		if !c.stopped {
			far = far || c.str < int(p.First)
			near = near || c.str > int(p.Last)
		}
	}
	p = f.geo.Across(int(p.First), int(p.Last), far, near, p.FirstFret)
	return p, f.geo.Check(p) == nil
}

// clears says whether a slant's ends leave the open strings plucked free.
func (f *finder) clears(p steel.Placement, chosen []choice) bool {
	stops := make([]Stop, len(chosen))
	for i, c := range chosen {
		stops[i] = Stop{c.str, c.fret}
	}
	far, near := openBeside(p, stops)
	return f.geo.Clears(p, far, near)
}

// ease moves a slant along the strings so that its errors are shared out evenly
// over the strings plucked, where a string under it is too far off. Frets are
// taken to hundredths, finer than any hand. It reports false when that is not
// enough, or takes the bar out of the region.
func (f *finder) ease(p steel.Placement, chosen []choice) (steel.Placement, []choice, bool) {
	least, most := 0.0, 0.0
	for _, c := range chosen {
		if c.stopped {
			least, most = min(least, float64(c.cents)), max(most, float64(c.cents))
		}
	}
	if max(-least, most) <= float64(f.o.Cents) {
		return p, chosen, true
	}
	by := math.Round(-(least+most)/2) / 100
	p.FirstFret, p.LastFret = p.FirstFret+by, p.LastFret+by
	lo, hi := f.region()
	if !f.canLay(p) || min(p.FirstFret, p.LastFret) < float64(lo) || max(p.FirstFret, p.LastFret) > float64(hi) {
		return p, nil, false
	}
	eased := slices.Clone(chosen)
	for i := range eased {
		c := &eased[i]
		if !c.stopped {
			continue
		}
		c.fret = f.geo.Contact(p, c.str)
		c.cents = pitch.Cents(100 * (float64(f.open[c.str-1]) + c.fret - float64(c.key)))
		if math.Abs(float64(c.cents)) > float64(f.o.Cents) {
			return p, nil, false
		}
	}
	return p, eased, true
}

// id tells grips apart.
func (g *Grip) id() string {
	b := []byte{byte(g.Placement.Kind), byte(g.Placement.First), byte(g.Placement.Last), byte(g.Benders), byte(g.Benders >> 8)}
	for _, n := range g.Notes {
		b = append(b, byte(n.String), byte(math.Round(n.Fret)))
	}
	return string(b)
}

// more lists the other strings that sound wanted tones as the bar lies.
func (f *finder) more(g *Grip) []int {
	var out []int
	for s := 1; s <= f.n; s++ {
		f.open[s-1] = f.r.OpenKey(s, g.Benders)
		if slices.ContainsFunc(g.Notes, func(n Note) bool { return n.String == s }) {
			continue
		}
		if g.Placement.Slanted() && !g.Placement.Touches(s) {
			stops := []Stop{{String: s}}
			for _, n := range g.Notes {
				stops = append(stops, Stop{n.String, n.Fret})
			}
			if far, near := openBeside(g.Placement, stops); !f.geo.Clears(g.Placement, far, near) {
				continue
			}
		}
		c, ok := f.stop(s, f.geo.Contact(g.Placement, s))
		if ok && (!f.o.Closed || c.fret > 0) {
			out = append(out, s)
		}
	}
	return out
}

func (f *finder) price(g *Grip, c Cost, lowest choice) Cost {
	switch g.Placement.Kind {
	case steel.Forward, steel.Reverse:
		c.Lean = leanFixed + math.Abs(g.Angle)*leanPerDegree
	case steel.Split:
		c.Lean = splitFixed + math.Abs(g.Angle)*leanPerDegree
	case steel.Nose:
		c.Lean = noseFixed
	}
	for _, n := range g.Notes {
		c.Cents += math.Abs(float64(n.CentsOff)) * perCent
	}
	c.Benders = float64(bits.OnesCount16(uint16(g.Benders))) * perBender
	open, stopped, far := 0, 0, 0.0
	for _, n := range g.Notes {
		if n.Fret == 0 {
			open++
			continue
		}
		stopped++
		far = max(far, n.Fret)
	}
	if open > 0 && stopped > 0 {
		c.Mixed = mixedFixed
		first, last := f.n+1, 0 // of the strings stopped
		for _, n := range g.Notes {
			if n.Fret > 0 {
				first, last = min(first, n.String), max(last, n.String)
			}
		}
		far := slices.ContainsFunc(g.Notes, func(n Note) bool { return n.String < first })
		near := slices.ContainsFunc(g.Notes, func(n Note) bool { return n.String > last })
		if far && near && g.Placement.Kind != steel.Nose {
			c.Mixed += tippedFixed
		}
	}
	outer, inner := g.Notes[0].String, g.Notes[len(g.Notes)-1].String
	c.Span = float64(inner-outer+1-len(g.Notes)) * perSkip
	if want := min(f.o.Strings, max(len(f.w.Tones), 2)); len(g.Notes) < want {
		c.Span += float64(want-len(g.Notes)) * perFewer
	}
	if f.w.Bass < 0 && lowest.tone != 0 && f.w.Chord != nil {
		c.Bass = inverted
	}
	if far > 12 {
		c.Neck = (far - 12) * perFretAbove
	} else if far > 0 && far < 3 {
		c.Neck = (3 - far) * perFretBelow
	}
	return c
}
