package musicxml

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// MatchingRig returns the built-in rig that a part's tablature is for: the one the file
// names, else the first that has its tuning; nil when there is none.
func (p *Part) MatchingRig() *rig.Rig {
	if r, ok := rig.Builtin(p.Rig); ok && p.fits(r) {
		return r
	}
	for _, r := range rig.Builtins() {
		if len(p.Tuning) > 0 && p.fits(r) {
			return r
		}
	}
	return nil
}

// fits reports whether a rig has the part's tuning; a part without one fits all.
func (p *Part) fits(r *rig.Rig) bool {
	if len(p.Tuning) == 0 {
		return true
	}
	if len(p.Tuning) != len(r.Strings) {
		return false
	}
	for i, n := range r.TunedNames() {
		if p.Tuning[i].Key() != n.Key() {
			return false
		}
	}
	return true
}

// Tab places the part on a rig as its strings and frets say; with a nil rig on
// the one that matches. A part is tablature for fingers on frets as often as
// for a bar, so what no bar can do, what the strings don't sound, and every note
// without a string is a compromise of the tab. It fails when the part has no
// tablature or no rig can be told.
func (p *Part) Tab(r *rig.Rig) (*tab.Tab, fault.List, error) {
	if len(p.Fingers) == 0 {
		return nil, nil, &fault.Fault{Msg: fmt.Sprintf("part %q has no strings and frets", fault.Clip(cmp.Or(p.Name, p.ID)))}
	}
	if r == nil {
		if r = p.MatchingRig(); r == nil {
			return nil, nil, &fault.Fault{Msg: fmt.Sprintf("no built-in rig has the tuning of part %q", fault.Clip(cmp.Or(p.Name, p.ID))), Hint: "name a rig, or make a tune of it and arrange that"}
		}
	}
	f := &fitter{p: p, t: &tab.Tab{Tune: p.Tune, Transposed: p.transposed}, by: map[tune.Ref]*Finger{}}
	if !p.fits(r) {
		f.warnings.Add(&fault.Fault{Msg: fmt.Sprintf("the tablature is tuned %s and the rig %q %s", tuningText(p), r.Name, r.TuningText())})
	}
	if p.Capo > 0 && r.Capo.At == 0 {
		with, err := r.WithCapo(p.Capo)
		if err != nil {
			return nil, nil, &fault.Fault{Msg: err.Error()}
		}
		r = with
	}
	f.t.Rig, f.g = r, steel.New(r)
	for i := range p.Fingers {
		f.by[p.Fingers[i].Ref] = &p.Fingers[i]
	}
	for _, m := range tune.Moments(p.Tune) {
		f.moment(&m)
	}
	f.join()
	f.account()
	return f.t, f.warnings, nil
}

// account keeps of what the file says is added and left out what the tab has a place for.
func (f *fitter) account() {
	for _, a := range f.p.added {
		if f.t.Tune.Note(a.Ref) != nil && a.String <= len(f.t.Rig.Strings) {
			f.t.Added = append(f.t.Added, a)
		}
	}
	for _, l := range f.p.leftOut {
		if l.BarIndex < len(f.t.Tune.Bars) && l.Voice < len(f.t.Tune.Bars[l.BarIndex].Lines) && l.At+l.Len <= f.t.Tune.Bars[l.BarIndex].Len {
			f.t.LeftOut = append(f.t.LeftOut, l)
		}
	}
}

func tuningText(p *Part) string {
	var out []string
	for _, n := range slices.Backward(p.Tuning) {
		out = append(out, n.String())
	}
	return strings.Join(out, " ")
}

// fitter makes the strokes.
type fitter struct {
	p        *Part
	t        *tab.Tab
	g        *steel.Geometry
	by       map[tune.Ref]*Finger
	warnings fault.List
	// placement and benders of the stroke before, for a moment at which nothing
	// is played.
	placement steel.Placement
	benders   rig.BenderSet
}

// wanted is where the steel is wanted: string and contact in frets, 0 for open.
type wanted struct {
	str  int
	fret float64
}

// moment makes one stroke.
func (f *fitter) moment(m *tune.Moment) {
	st := tab.Stroke{BarIndex: m.BarIndex, At: m.At, Len: m.Len, Grace: m.Grace}
	var contacts []wanted
	var fingers []*Finger
	placed, bent := false, false
	for _, n := range m.Notes {
		fi := f.by[n.Ref]
		if fi == nil || fi.String > len(f.t.Rig.Strings) {
			continue
		}
		fingers = append(fingers, fi)
		for _, own := range fi.own {
			words := strings.Fields(own)
			switch words[0] {
			case terms.WordPlacement:
				if pl, ok := terms.ParsePlacement(words[1:]); ok && f.g.Check(pl) == nil {
					st.Placement, placed = pl, true
				}
			case terms.WordBenders:
				st.Benders, bent = f.benderMarks(words[1:]), true
			}
		}
		if !fi.natural {
			contacts = append(contacts, wanted{fi.String, fi.contact()})
		}
	}
	for _, ref := range m.Held {
		if fi := f.by[ref]; fi != nil && !fi.natural && fi.String <= len(f.t.Rig.Strings) {
			contacts = append(contacts, wanted{fi.String, fi.contact()})
		}
	}
	if !placed && len(contacts) == 0 {
		st.Placement = f.placement
	} else if !placed {
		st.Placement = f.lay(contacts)
	}
	if !bent && len(fingers) > 0 {
		st.Benders = f.engage(fingers)
	} else if !bent {
		st.Benders = f.benders
	}
	f.placement, f.benders = st.Placement, st.Benders
	busy := map[int]bool{}
	for i := range m.Notes {
		n := &m.Notes[i]
		fi := f.by[n.Ref]
		switch {
		case fi == nil:
			f.compromise(m, n, "the file gives no string and fret for it")
		case fi.String > len(f.t.Rig.Strings):
			f.compromise(m, n, fmt.Sprintf("the file puts it on string %d, and the rig has %d", fi.String, len(f.t.Rig.Strings)))
		case busy[fi.String]:
			f.compromise(m, n, fmt.Sprintf("the file puts two notes on string %d at once", fi.String))
		default:
			busy[fi.String] = true
			f.pluck(&st, m, n, fi)
		}
	}
	slices.SortStableFunc(st.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
	f.t.Strokes = append(f.t.Strokes, st)
}

// contact returns the exact place of the bar over the string.
func (fi *Finger) contact() float64 {
	for _, own := range fi.own {
		if rest, ok := strings.CutPrefix(own, terms.WordContact+" "); ok {
			if c, ok := terms.ParseFret(rest); ok {
				return c
			}
		}
	}
	return float64(fi.Fret)
}

func (f *fitter) compromise(m *tune.Moment, n *tune.NoteAt, why string) {
	f.t.Compromises = append(f.t.Compromises, tab.NewCompromise(f.p.Tune, n.Ref, m.At, tab.NotPlayed, 0, why))
}

// pluck adds one note to a stroke.
func (f *fitter) pluck(st *tab.Stroke, m *tune.Moment, n *tune.NoteAt, fi *Finger) {
	p := tab.Pluck{Ref: n.Ref, String: fi.String, Len: n.Len, Vibrato: fi.vibrato, Glide: fi.slideOn}
	p.Finger = map[string]tab.Finger{"p": tab.Thumb, "i": tab.Index, "m": tab.Middle}[fi.pluck]
	note := f.p.Tune.Note(n.Ref)
	switch {
	case note != nil && note.Chop:
		p.Attack = tab.Chopped
	case n.Tied && (fi.tied || !f.p.own):
		p.Attack = tab.Tied
	case fi.natural:
		p.Attack = tab.Harmonic
	case fi.palm:
		p.Attack = tab.PalmHarmonic
	case fi.slideTo:
		p.Attack = tab.Glided
	case fi.hammered:
		p.Attack = tab.Hammered
	case fi.pulled:
		p.Attack = tab.PulledOff
	}
	for _, own := range fi.own {
		words := strings.Fields(own)
		switch {
		case words[0] == terms.WordDamp:
			p.Damp = true
		case words[0] == terms.WordCarry:
			p.Glide = true
		case words[0] == terms.WordNode && len(words) == 2:
			if k, err := strconv.Atoi(words[1]); err == nil && k >= 2 && k <= 16 {
				p.Node = int8(k)
			}
		case words[0] == terms.WordScoopFret && len(words) == 2:
			if x, err := strconv.ParseFloat(words[1], 64); err == nil && math.Abs(x) <= tune.MaxScoop {
				p.Scoop = x
			}
		}
	}
	p.Fret = f.g.Contact(st.Placement, p.String)
	if p.Attack == tab.Chopped {
		p.Fret = 0
	}
	if p.Attack == tab.Harmonic || p.Attack == tab.PalmHarmonic {
		if p.Node == 0 {
			p.Node = 2 // the palm lies an octave above the steel, as is usual
			if p.Attack == tab.Harmonic {
				p.Node = nodeAt(fi.Fret)
			}
		}
		if p.Attack == tab.Harmonic {
			p.Fret = tab.NodeFret(int(p.Node))
		}
	}
	if p.Scoop == 0 && !f.p.own {
		if note != nil && note.Scoop != 0 && p.Fret > 0 && p.Fret+float64(note.Scoop) > 0 {
			p.Scoop = float64(note.Scoop)
		}
	}
	key := tab.Key(f.g, st, &p)
	if off := math.Round(100 * (key - float64(n.Name.Key()))); math.Abs(off) > tab.CentsAllowed {
		why := fmt.Sprintf("the file's string %d at fret %d sounds that", fi.String, fi.Fret)
		if math.Abs(f.g.Contact(st.Placement, p.String)-fi.contact()) > 0.05 && !fi.natural {
			why = fmt.Sprintf("no steel reaches fret %d on string %d together with the other strings", fi.Fret, fi.String)
		}
		f.t.Compromises = append(f.t.Compromises, tab.OffPitch(f.p.Tune, n.Ref, m.At, off, why))
	}
	st.Plucks = append(st.Plucks, p)
}

// nodeAt returns the harmonic whose node lies at a fret; the octave's when none
// does.
func nodeAt(fret int) int8 {
	for n := 2; n <= 8; n++ {
		if int(tab.NodeFret(n)) == fret {
			return int8(n)
		}
	}
	return 2
}

// benderMarks returns the set of benders with these marks.
func (f *fitter) benderMarks(marks []string) rig.BenderSet {
	var set rig.BenderSet
	for i, b := range f.t.Rig.Benders {
		if slices.Contains(marks, b.Mark) {
			set |= 1 << i
		}
	}
	return set
}

// engage finds the fewest benders that bend every string as its pre-bend says.
func (f *fitter) engage(fingers []*Finger) rig.BenderSet {
	fits := func(set rig.BenderSet) bool {
		for _, fi := range fingers {
			if by := f.t.Rig.OpenKey(fi.String, set) - f.t.Rig.OpenKey(fi.String, 0); float64(by) != fi.preBend {
				return false
			}
		}
		return true
	}
	if fits(0) {
		return 0
	}
	n := len(f.t.Rig.Benders)
	for i := range n {
		if fits(1 << i) {
			return 1 << i
		}
	}
	for i := range n {
		for j := range i {
			if fits(1<<i | 1<<j) {
				return 1<<i | 1<<j
			}
		}
	}
	return 0
}

// lay finds the placement that comes through all contacts, straight before
// slanted; when there is none, the one that the most of them lie on.
func (f *fitter) lay(contacts []wanted) steel.Placement {
	var fretted []wanted
	for _, c := range contacts {
		if c.fret > 0 {
			fretted = append(fretted, c)
		}
	}
	if len(fretted) == 0 {
		return steel.Placement{}
	}
	slices.SortFunc(fretted, func(a, b wanted) int { return cmp.Or(cmp.Compare(a.str, b.str), cmp.Compare(a.fret, b.fret)) })
	var tries []steel.Placement
	add := func(k steel.Kind, a, b wanted) {
		tries = append(tries, steel.Placement{Kind: k, First: int8(a.str), Last: int8(b.str), FirstFret: a.fret, LastFret: b.fret})
	}
	// Over every pair of contacts as the ends of the bar, and over every
	// contact alone.
	for i, a := range fretted {
		for _, b := range slices.Backward(fretted[i+1:]) {
			switch {
			case a.str == b.str:
			case a.fret == b.fret:
				add(steel.Straight, a, b)
			case a.fret > b.fret:
				add(steel.Forward, a, b)
				add(steel.Split, a, b)
			default:
				add(steel.Reverse, a, b)
				add(steel.Split, a, b)
			}
		}
	}
	for _, a := range fretted {
		if f.t.Rig.Steel.Bullet && len(contacts) > 1 {
			add(steel.Nose, a, a)
		}
		add(steel.Straight, a, a)
	}
	best, most := tries[len(tries)-1], -1
	for _, pl := range tries {
		if f.g.Check(pl) != nil {
			continue
		}
		on := 0
		for _, c := range contacts {
			if math.Abs(f.g.Contact(pl, c.str)-c.fret) < 0.15 {
				on++
			}
		}
		if on > most {
			best, most = pl, on
		}
	}
	if most < 0 {
		return steel.Placement{}
	}
	return best
}

// join makes sure that what is held on or reached under a ringing string has a
// string that rings.
func (f *fitter) join() {
	last := map[int]*tab.Pluck{}
	var lastEnd [rig.MaxStrings + 1]struct {
		bar int
		end tune.Ticks
	}
	for i := range f.t.Strokes {
		st := &f.t.Strokes[i]
		for j := range st.Plucks {
			p := &st.Plucks[j]
			was := last[p.String]
			e := lastEnd[p.String]
			rings := was != nil && (e.bar == st.BarIndex && e.end == st.At || e.bar == st.BarIndex-1 && st.At == 0 && e.end == f.p.Tune.Bars[e.bar].Len)
			if was != nil && was.Glide && !rings {
				was.Glide = false
			}
			switch {
			case rings && was.Glide && p.Attack == tab.Picked:
				p.Attack = tab.Glided
			case p.Attack == tab.Glided && !(rings && was.Glide), (p.Attack == tab.Hammered || p.Attack == tab.PulledOff) && was == nil:
				p.Attack = tab.Picked
			}
			last[p.String] = p
			lastEnd[p.String].bar, lastEnd[p.String].end = st.BarIndex, st.At+p.Len
		}
	}
	for _, p := range last {
		p.Glide = false
	}
	f.t.NameBends()
}
