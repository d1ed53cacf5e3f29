package arrange

import (
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// This file is the arranger done again the slow way, to compare with: it tries
// every placement of the bar on every string assignment, every way to pluck, and
// every sequence of those. It shares only the tables of limits and costs with
// the search, and the geometry.

type bruteNote struct {
	key   int
	kind  grip.Kind
	from  int // index among the notes of the moment before, −1 for none
	voice int
	ref   tune.Ref
	long  bool
	len   tune.Ticks
	slow  bool // a slow tune
	beat  bool // on a beat that is plucked
}

type bruteMoment struct {
	number int
	at     tune.Ticks
	ms     int
	notes  []bruteNote
}

// bruteGrip is a grip with its fingers: finger[s] is 0 none, 1 thumb, 2 index,
// 3 middle.
type bruteGrip struct {
	p      steel.Placement
	set    rig.BenderSet
	str    []int
	fret   []int
	act    []grip.Act
	run    int // notes running that are joined unasked
	node   int
	palm   bool
	finger map[int]int
}

type brute struct {
	r       *rig.Rig
	g       *steel.Geometry
	lim     grip.Limits
	o       Options
	moments []bruteMoment
	grips   [][]bruteGrip
	angle   float64
	low     int
	blocked int // slants whose end would lie on an open string
	high    int
	best    []int64 // the cheapest costs found, at most k
	k       int
}

func newBrute(t *tune.Tune, r *rig.Rig, o Options, k int) *brute {
	b := &brute{r: r, g: steel.New(r), lim: o.limits(), o: o, k: k}
	b.angle = b.lim.Angle
	if o.Square {
		b.angle = 0
	}
	b.low, b.high = max(1, o.Low), min(b.lim.Fret, r.Frets)
	if o.High > 0 {
		b.high = min(b.high, o.High)
	}
	b.readMoments(t)
	own := make([][]bruteGrip, len(b.moments))
	for i := range b.moments {
		own[i] = b.ownGrips(&b.moments[i])
	}
	for i := range b.moments {
		all := append(slices.Clone(own[i]), b.shared(i, own)...)
		var kept []bruteGrip
		for _, g := range all {
			if b.pinned(&g, &b.moments[i]) {
				kept = append(kept, g)
			}
		}
		b.grips = append(b.grips, kept)
	}
	return b
}

func (b *brute) readMoments(t *tune.Tune) {
	// Scores in these tests are in 4/4 at the default 100 quarter notes a minute.
	const secondsAWhole = 4 * 60 / 100.0
	var before []bruteNote
	lastAt := 0.0
	slur := map[[3]int]bool{}
	for v := range t.Voices {
		depth := 0
		for bi := range t.Bars {
			for ei, e := range t.Bars[bi].Lines[v] {
				if depth > 0 && len(e.Graces) == 0 {
					slur[[3]int{bi, v, ei}] = true
				}
				depth += e.Slurs - e.SlurEnds
			}
		}
	}
	quick := b.quick(t)
	wasGrace, lastBar, lastPlace := false, -1, tune.Ticks(0)
	for i, m := range tune.Moments(t) {
		at := (float64(m.BarIndex) + float64(m.At)/float64(tune.Whole)) * secondsAWhole
		bm := bruteMoment{number: t.Bars[m.BarIndex].Number, at: m.At, ms: min(max(int(math.Round(1000*(at-lastAt))), 40), 2000)}
		if i == 0 {
			bm.ms = 2000
		}
		lastAt = at
		taken := map[int]bool{}
		// ended reports whether the note before lasts until now.
		ended := func(before []bruteNote) bool {
			return tune.Ticks(lastBar)*tune.Whole+lastPlace+before[0].len == tune.Ticks(m.BarIndex)*tune.Whole+m.At
		}
		for _, n := range m.Notes {
			bn := bruteNote{key: n.Name.Key(), from: -1, voice: n.Ref.Voice, ref: n.Ref, len: n.Len, slow: !quick}
			bn.long = float64(n.Len)/float64(tune.Whole)*secondsAWhole >= 0.9
			place := -1 // of the note in its event, from the top
			if n.Ref.Grace < 0 {
				place = len(t.Bars[n.Ref.Bar].Lines[n.Ref.Voice][n.Ref.Event].Notes) - n.Ref.Note
			}
			for j, p := range before {
				if p.voice != bn.voice {
					continue
				}
				if n.Tied && p.key == bn.key && t.Note(p.ref).Tie {
					bn.kind, bn.from = grip.Tied, j
					break
				}
				if !n.Tied && place > 0 && p.ref.Grace < 0 && t.Note(p.ref).Glide &&
					len(t.Bars[p.ref.Bar].Lines[p.ref.Voice][p.ref.Event].Notes)-p.ref.Note == place {
					bn.kind, bn.from = grip.Glided, j
					break
				}
			}
			if bn.kind == grip.Begun && !n.Tied && slur[[3]int{n.Ref.Bar, n.Ref.Voice, n.Ref.Event}] &&
				len(m.Notes) == 1 && len(m.Held) == 0 && len(before) == 1 && before[0].voice == bn.voice && ended(before) {
				bn.kind, bn.from = grip.Slurred, 0
			}
			if bn.kind == grip.Begun && !n.Tied && len(m.Notes) == 1 && len(m.Held) == 0 && len(before) == 1 && before[0].voice == bn.voice && before[0].key != bn.key && ended(before) {
				apart := int(math.Abs(float64(before[0].key - bn.key)))
				switch {
				case wasGrace:
					bn.kind, bn.from = grip.Graced, 0
				case n.Ref.Grace < 0 && lastBar == m.BarIndex && apart <= 3 && b.o.Touch != PlainTouch && b.lim.Hammer > 0 && float64(bm.ms)/1000 >= b.lim.Hammer:
					bn.kind, bn.from = grip.Stepped, 0
					// All in 4/4: every quarter in a quick tune, every half in a slow one.
					bn.beat = m.At%(tune.Whole/2) == 0 || quick && m.At%(tune.Whole/4) == 0
				}
			}
			if bn.kind != grip.Tied {
				if taken[bn.key] {
					continue
				}
			}
			if !n.Tied {
				taken[bn.key] = true
			}
			bm.notes = append(bm.notes, bn)
		}
		for _, ref := range m.Held {
			for j, p := range before {
				if p.ref == ref {
					p.kind, p.from, p.long = grip.Held, j, false
					bm.notes = append(bm.notes, p)
				}
			}
		}
		b.moments = append(b.moments, bm)
		before = bm.notes
		wasGrace, lastBar, lastPlace = m.Grace, m.BarIndex, m.At
	}
}

// quick tells quick tunes from slow ones: all are in 4/4 and without a tempo, so their
// kind decides, else whether half the first voice's notes are eighths or shorter.
func (b *brute) quick(t *tune.Tune) bool {
	switch t.Rhythm {
	case "reel":
		return true
	case "air":
		return false
	}
	short, all := 0, 0
	for i := range t.Bars {
		for _, e := range t.Bars[i].Lines[0] {
			if e.Kind == tune.Sounding {
				all++
				if e.Len <= tune.Whole/8 {
					short++
				}
			}
		}
	}
	return 2*short >= all
}

// unasked reports whether a note is plucked, or joined because the player likes to.
func unasked(k grip.Kind) bool { return k == grip.Stepped }

func going(k grip.Kind) bool { return k == grip.Tied || k == grip.Held }

// ownGrips returns the grips of a moment by itself, fingers left out.
func (b *brute) ownGrips(m *bruteMoment) []bruteGrip {
	byLost := map[int][]bruteGrip{}
	str := make([]int, len(m.notes))
	var assign func(i int)
	assign = func(i int) {
		if i == len(m.notes) {
			lost := 0
			for j, n := range m.notes {
				if str[j] == 0 && !going(n.kind) {
					lost++
				}
			}
			byLost[lost] = append(byLost[lost], b.lay(m, str)...)
			return
		}
		for s := 0; s <= len(b.r.Strings); s++ {
			if s > 0 && slices.Contains(str[:i], s) {
				continue
			}
			str[i] = s
			assign(i + 1)
		}
		str[i] = 0
	}
	assign(0)
	for lost := 0; ; lost++ {
		if len(byLost[lost]) > 0 {
			return byLost[lost]
		}
		if lost == 0 && len(m.notes) == 1 {
			if h := b.harmonics(m); len(h) > 0 {
				return h
			}
		}
	}
}

// lay tries every set of benders and every placement on an assignment.
func (b *brute) lay(m *bruteMoment, str []int) []bruteGrip {
	var out []bruteGrip
	for set := rig.BenderSet(0); int(set) < 1<<len(b.r.Benders); set++ {
		engaged := 0
		useful := true
		for i, bd := range b.r.Benders {
			if !set.Has(i) {
				continue
			}
			engaged++
			helps := false
			for _, mv := range bd.Moves {
				helps = helps || slices.Contains(str, mv.String)
			}
			useful = useful && helps
		}
		if engaged > b.lim.Benders || !useful {
			continue
		}
		fret := make([]int, len(str))
		fine := true
		for j, s := range str {
			if s == 0 {
				continue
			}
			fret[j] = m.notes[j].key - b.r.OpenKey(s, set)
			if fret[j] < 0 || fret[j] > b.high || fret[j] > 0 && fret[j] < b.low || fret[j] == 0 && b.o.Closed {
				fine = false
			}
		}
		if !fine {
			continue
		}
		for _, p := range b.placements(str, fret) {
			out = append(out, b.acts(m, bruteGrip{p: p, set: set, str: slices.Clone(str), fret: fret})...)
		}
	}
	return out
}

// off returns how far string s under p is from the fret, in cents, and whether
// bar and string agree about being stopped at all.
func (b *brute) off(p steel.Placement, s, fret int) (float64, bool) {
	c := b.g.Contact(p, s)
	if (c > 0) != (fret > 0) {
		return 0, false
	}
	return 100 * (c - float64(fret)), true
}

func (b *brute) sounds(p steel.Placement, str, fret []int) bool {
	if b.g.Check(p) != nil || !b.permitted(p) {
		return false
	}
	for j, s := range str {
		if s == 0 {
			continue
		}
		off, ok := b.off(p, s, fret[j])
		if !ok || math.Abs(off) > b.lim.Cents+grip.CentsSlack {
			return false
		}
	}
	far, near := 0, 0
	for j, s := range str {
		switch {
		case s == 0 || fret[j] > 0:
		case s < int(p.First):
			far = max(far, s)
		case near == 0 || s < near:
			near = s
		}
	}
	if (far > 0 || near > 0) && p.Slanted() && !b.g.Clears(p, far, near) {
		b.blocked++
		return false
	}
	return true
}

func (b *brute) permitted(p steel.Placement) bool {
	switch p.Kind {
	case steel.Forward, steel.Reverse, steel.Split:
		return math.Abs(b.g.Angle(p)) <= b.angle && math.Abs(p.FirstFret-p.LastFret) <= float64(b.lim.SlantSpan)+1e-9 &&
			(p.Kind != steel.Reverse || b.lim.Reverse) && (p.Kind != steel.Split || b.lim.Split)
	}
	return true
}

// placements goes through every placement there is and keeps those that sound
// the strings at their frets in the one way the rules want.
func (b *brute) placements(str, fret []int) []steel.Placement {
	n := len(b.r.Strings)
	lo, hi := 0, 0 // outermost stopped strings
	farOpen, nearOpen := false, false
	lowest, highest := 99, 0
	stopped := 0
	for j, s := range str {
		if s > 0 && fret[j] > 0 {
			if lo == 0 || s < lo {
				lo = s
			}
			hi = max(hi, s)
			lowest, highest = min(lowest, fret[j]), max(highest, fret[j])
			stopped++
		}
	}
	for j, s := range str {
		if s > 0 && fret[j] == 0 && stopped > 0 {
			farOpen = farOpen || s < lo
			nearOpen = nearOpen || s > hi
		}
	}
	if stopped == 0 {
		return []steel.Placement{{}}
	}
	if highest-lowest > b.lim.SlantSpan {
		return nil
	}
	if lowest == highest {
		// Square: over everything that needs not stay open; the nose for one
		// string with open ones nearer the player.
		f := float64(lowest)
		for _, p := range []steel.Placement{
			{Kind: steel.Nose, First: int8(lo), Last: int8(lo), FirstFret: f, LastFret: f},
			{Kind: steel.Straight, First: int8(lo), Last: int8(hi), FirstFret: f, LastFret: f},
			{Kind: steel.Straight, First: int8(lo), Last: int8(n), FirstFret: f, LastFret: f},
			{Kind: steel.Straight, First: 1, Last: int8(hi), FirstFret: f, LastFret: f},
			{Kind: steel.Straight, First: 1, Last: int8(n), FirstFret: f, LastFret: f},
		} {
			nose := lo == hi && nearOpen && b.r.Steel.Bullet
			if (p.Kind == steel.Nose) != nose || !nose && ((p.First == 1) != (!farOpen || lo == 1) || (int(p.Last) == n) != (!nearOpen || hi == n)) {
				continue
			}
			if b.sounds(p, str, fret) {
				return []steel.Placement{p}
			}
		}
		return nil
	}
	var fa, fb int
	for j, s := range str {
		if s == lo {
			fa = fret[j]
		}
		if s == hi {
			fb = fret[j]
		}
	}
	if fa == fb {
		return nil
	}
	kind := steel.Forward
	if fa < fb {
		kind = steel.Reverse
	}
	p := steel.Placement{Kind: kind, First: int8(lo), Last: int8(hi), FirstFret: float64(fa), LastFret: float64(fb)}
	if b.sounds(p, str, fret) {
		return []steel.Placement{p}
	}
	if b.g.Check(p) == nil && b.permitted(p) {
		if e, ok := b.eased(p, str, fret); ok {
			return []steel.Placement{e}
		}
	}
	for j, s := range str {
		if s == lo+1 && fret[j] == fa && hi > lo+1 {
			p.Kind = steel.Split
			if b.sounds(p, str, fret) {
				return []steel.Placement{p}
			}
		}
	}
	return nil
}

// eased shifts a slant so that its greatest errors either way are alike.
func (b *brute) eased(p steel.Placement, str, fret []int) (steel.Placement, bool) {
	least, most := 0.0, 0.0
	for j, s := range str {
		if s == 0 || fret[j] == 0 {
			continue
		}
		off, ok := b.off(p, s, fret[j])
		if !ok {
			return p, false
		}
		least, most = math.Min(least, off), math.Max(most, off)
	}
	for j, s := range str {
		if s > 0 && fret[j] == 0 {
			if _, ok := b.off(p, s, 0); !ok {
				return p, false
			}
		}
	}
	if most-least > 2*b.lim.Cents {
		return p, false
	}
	by := math.Round((least + most) / 2)
	p.FirstFret = math.Round(100*p.FirstFret-by) / 100
	p.LastFret = math.Round(100*p.LastFret-by) / 100
	return p, b.sounds(p, str, fret)
}

// acts returns every choice of what happens to each note.
func (b *brute) acts(m *bruteMoment, g bruteGrip) []bruteGrip {
	out := []bruteGrip{g}
	out[0].act = make([]grip.Act, len(m.notes))
	for j, n := range m.notes {
		if g.str[j] == 0 {
			continue
		}
		var choices []grip.Act
		switch n.kind {
		case grip.Begun:
			choices = []grip.Act{grip.Pluck}
		case grip.Held:
			choices = []grip.Act{grip.On}
		case grip.Tied:
			choices = []grip.Act{grip.On, grip.Again}
		case grip.Glided:
			choices = []grip.Act{grip.Glide, grip.Pluck}
		case grip.Slurred, grip.Graced, grip.Stepped:
			choices = []grip.Act{grip.Pluck, grip.Hammer, grip.Glide}
			if g.fret[j] == 0 {
				choices[1] = grip.Pull
			}
		}
		var more []bruteGrip
		for _, o := range out {
			for _, c := range choices {
				runs := []int{0}
				if unasked(n.kind) && c != grip.Pluck {
					runs = []int{1, 2}
				}
				for _, run := range runs {
					o := o
					o.act = slices.Clone(o.act)
					o.act[j], o.run = c, run
					more = append(more, o)
				}
			}
		}
		out = more
	}
	return out
}

func (b *brute) harmonics(m *bruteMoment) []bruteGrip {
	n := m.notes[0]
	if going(n.kind) || n.kind == grip.Glided {
		return nil
	}
	var out []bruteGrip
	for s := 1; s <= len(b.r.Strings); s++ {
		above := n.key - b.r.OpenKey(s, 0)
		for node := 2; node <= b.lim.Harmonics; node++ {
			touch := []int{2: 12, 3: 7, 4: 5, 5: 4}[node]
			if touch < b.o.Low || b.o.High > 0 && touch > b.o.High {
				continue
			}
			if math.Abs(1200*math.Log2(float64(node))-100*float64(above)) <= b.lim.Cents {
				out = append(out, bruteGrip{str: []int{s}, fret: []int{0}, act: []grip.Act{grip.Pluck}, node: node})
			}
		}
		if f := above - 12; b.lim.Palm && f >= b.low && f <= b.high {
			p := steel.Placement{Kind: steel.Straight, First: 1, Last: int8(len(b.r.Strings)), FirstFret: float64(f), LastFret: float64(f)}
			if b.g.Check(p) == nil {
				out = append(out, bruteGrip{p: p, str: []int{s}, fret: []int{f}, act: []grip.Act{grip.Pluck}, node: 2, palm: true})
			}
		}
	}
	return out
}

// shared returns the slants that a single note takes over from its neighbours:
// every slant of the rig is tried on both.
func (b *brute) shared(i int, own [][]bruteGrip) []bruteGrip {
	m := &b.moments[i]
	single := func(m *bruteMoment) bool {
		return len(m.notes) == 1 && !going(m.notes[0].kind) && m.notes[0].kind != grip.Glided
	}
	if !single(m) || b.angle == 0 {
		return nil
	}
	var out []bruteGrip
	add := func(p steel.Placement, set rig.BenderSet, s, f int) {
		for _, o := range out {
			if o.p == p && o.set == set && o.str[0] == s {
				return
			}
		}
		out = append(out, bruteGrip{p: p, set: set, str: []int{s}, fret: []int{f}, act: []grip.Act{grip.Pluck}})
	}
	for _, j := range []int{i - 1, i + 1} {
		if j < 0 || j >= len(b.moments) {
			continue
		}
		if single(&b.moments[j]) {
			for first := 1; first < len(b.r.Strings); first++ {
				for last := first + 1; last <= len(b.r.Strings); last++ {
					for fa := b.low; fa <= b.high; fa++ {
						for fb := b.low; fb <= b.high; fb++ {
							p := steel.Placement{Kind: steel.Forward, First: int8(first), Last: int8(last), FirstFret: float64(fa), LastFret: float64(fb)}
							if fa < fb {
								p.Kind = steel.Reverse
							}
							ka, kb := b.r.OpenKey(first, 0)+fa, b.r.OpenKey(last, 0)+fb
							mine, theirs := m.notes[0].key, b.moments[j].notes[0].key
							if fa == fb || !(ka == mine && kb == theirs || kb == mine && ka == theirs) ||
								!b.sounds(p, []int{first, last}, []int{fa, fb}) {
								continue
							}
							if ka == mine && kb == theirs {
								add(p, 0, first, fa)
							}
							if kb == mine && ka == theirs {
								add(p, 0, last, fb)
							}
						}
					}
				}
			}
			continue
		}
		if len(b.moments[j].notes) < 2 {
			continue
		}
		for _, g := range own[j] {
			if !g.p.Slanted() {
				continue
			}
			for s := 1; s <= len(b.r.Strings); s++ {
				f := m.notes[0].key - b.r.OpenKey(s, g.set)
				if f < 1 || !b.sounds(g.p, []int{s}, []int{f}) {
					continue
				}
				serves := true
				for k, bd := range b.r.Benders {
					if g.set.Has(k) && !slices.ContainsFunc(bd.Moves, func(mv rig.Move) bool { return mv.String == s }) {
						serves = false
					}
				}
				if serves {
					add(g.p, g.set, s, f)
				}
			}
		}
	}
	return out
}

// pinned reports whether a grip does what every pin over the moment asks.
func (b *brute) pinned(g *bruteGrip, m *bruteMoment) bool {
	for _, p := range b.o.Pins {
		if m.number < p.FromBarNumber || m.number > max(p.FromBarNumber, p.ToBarNumber) || p.At != nil && *p.At != m.at {
			continue
		}
		if p.Square && g.p.Slanted() {
			return false
		}
		if p.Benders != nil {
			for i, bd := range b.r.Benders {
				inUse := slices.ContainsFunc(bd.Moves, func(mv rig.Move) bool { return slices.Contains(g.str, mv.String) })
				if g.set.Has(i) != (p.Benders.Has(i) && inUse) {
					return false
				}
			}
		}
		for j, n := range m.notes {
			if !going(n.kind) {
				if p.String > 0 && g.str[j] != p.String || p.Fret != nil && (g.str[j] == 0 || g.fret[j] != *p.Fret) {
					return false
				}
				break
			}
		}
		for j, s := range g.str {
			if s == 0 {
				continue
			}
			f := g.fret[j]
			if p.Closed && f == 0 && g.node == 0 || f > 0 && p.Low > 0 && f < p.Low || f > 0 && p.High > 0 && f > p.High {
				return false
			}
			if g.node > 0 && f == 0 {
				touch := []int{2: 12, 3: 7, 4: 5, 5: 4}[g.node]
				if touch < p.Low || p.High > 0 && touch > p.High {
					return false
				}
			}
			if len(p.Grip) > 0 && !slices.Contains(p.Grip, Stop{s, f}) {
				return false
			}
		}
	}
	return true
}

// fingerings returns every way to pluck a grip.
func (b *brute) fingerings(g bruteGrip) []map[int]int {
	var strs []int
	for j, a := range g.act {
		if a == grip.Pluck || a == grip.Again {
			strs = append(strs, g.str[j])
		}
	}
	slices.Sort(strs)
	var out []map[int]int
	switch len(strs) {
	case 0:
		out = append(out, map[int]int{})
	case 1:
		for f := 1; f <= 3; f++ {
			out = append(out, map[int]int{strs[0]: f})
		}
	case 2:
		for f := 1; f <= 3; f++ {
			for h := f + 1; h <= 3; h++ {
				out = append(out, map[int]int{strs[1]: f, strs[0]: h})
			}
		}
	default:
		m := map[int]int{strs[0]: 3, strs[1]: 2}
		for _, s := range strs[2:] {
			m[s] = 1
		}
		out = append(out, m)
	}
	return out
}

// run goes through every sequence. A beginning that already costs as much as
// the k-th best whole is not followed further, since nothing costs less than 0.
func (b *brute) run() {
	b.next(0, nil, -1, 0)
}

func (b *brute) next(i int, before *bruteGrip, hand int, cost int64) {
	if len(b.best) == b.k && cost >= b.best[b.k-1] {
		return
	}
	if i == len(b.moments) {
		b.best = append(b.best, cost)
		slices.Sort(b.best)
		b.best = b.best[:min(len(b.best), b.k)]
		return
	}
	m := &b.moments[i]
	for gi := range b.grips[i] {
		g := b.grips[i][gi]
		if i == 0 && slices.ContainsFunc(g.act, func(a grip.Act) bool { return a != grip.Pluck && a != grip.Gone && a != grip.Again }) {
			continue
		}
		for _, f := range b.fingerings(g) {
			g := g
			g.finger = f
			add := b.alone(&g, m)
			if i > 0 {
				st, ok := b.step(hand, before, &g, &b.moments[i-1], m)
				if !ok {
					continue
				}
				add += st
			}
			to := hand
			if g.p.Kind != steel.Lifted {
				to = b.handAt(&g)
			}
			b.next(i+1, &g, to, cost+add)
		}
	}
}
