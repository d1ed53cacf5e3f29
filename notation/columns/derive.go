package columns

import (
	"cmp"
	"fmt"
	"math"

	"lapwright/fault"
	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Grid is what the columns say, taken from the page but not yet a tab.
type Grid struct {
	Tune *tune.Tune // everything but the notes
	Rig  *rig.Rig   // with its capo applied
	Bars []GridBar
	// near is how far in frets a number may be from where a slanted bar crosses
	// its string, to mean that crossing; for numbers with two decimals it is
	// what rounding makes.
	Near float64
}

// GridBar is one bar of the grid.
type GridBar struct {
	Rhythm  [][]RhythmEvent // by voice, parallel to the events of the tune's bar
	Columns []Column        // by time
}

// RhythmEvent says which strings an event and its graces play; nil is every
// string of its column.
type RhythmEvent struct {
	Strings []int
	Graces  [][]int
	Place   Place
}

// Place is where something stands on the page.
type Place struct{ Line, Col int }

// Column is one instant of a bar.
type Column struct {
	At     tune.Ticks
	Cells  []PlacedCell // by string, string 1 first
	Steel  SteelState
	Hand   []tab.Finger // by pluck, string 1 first; nil when not given
	Place  Place        // of the steel token
	HandAt Place
}

// PlacedCell is a cell on its string.
type PlacedCell struct {
	Cell
	Str   int
	Place Place
}

// slot is one thing that begins in a column: a grace or an event's own notes.
type slot struct {
	ref     tune.Ref // without its note
	strings []int
	tied    bool // only notes that are held on
	len     tune.Ticks
	late    tune.Ticks // how much later its struck notes come than its held ones
}

// deriver turns a grid into a tab by the rules of docs/formats/tab-text.md.
type deriver struct {
	*Grid
	file   string
	geo    *steel.Geometry
	out    *tab.Tab
	faults fault.List
	// lastPluck remembers, voice by voice, what was last played on each string.
	lastPluck []map[int]pluckAt
}

// pluckAt points at a pluck.
type pluckAt struct{ stroke, pluck int }

// Derive makes the tab of a grid. Faults are what makes it impossible.
func (g *Grid) Derive(file string) (*tab.Tab, fault.List) {
	d := &deriver{Grid: g, file: file, geo: steel.New(g.Rig), out: &tab.Tab{Tune: g.Tune, Rig: g.Rig}}
	for range g.Tune.Voices {
		d.lastPluck = append(d.lastPluck, map[int]pluckAt{})
	}
	for b := range g.Bars {
		d.bar(b)
	}
	d.joinNotes()
	d.out.NameBends()
	return d.out, d.faults
}

// PlacementOf returns how the steel lies in a column; ok is false where it can't
// lie as the numbers say.
func (g *Grid) PlacementOf(geo *steel.Geometry, col *Column) (p steel.Placement, ok bool) {
	d := deriver{Grid: g, geo: geo}
	p = d.placement(col)
	return p, len(d.faults) == 0
}

// BendersOf returns the benders that a column engages.
func (g *Grid) BendersOf(col *Column) rig.BenderSet {
	d := deriver{Grid: g}
	return d.benders(col)
}

func (d *deriver) fail(p Place, str int, format string, args ...any) {
	d.faults.Add(&fault.Fault{File: d.file, Line: p.Line, Col: p.Col, Str: str, Msg: fmt.Sprintf(format, args...)})
}

// slots lists what begins in a bar, by time.
func (d *deriver) slots(b int) map[tune.Ticks][]slot {
	out := map[tune.Ticks][]slot{}
	for v := range d.Tune.Bars[b].Lines {
		for ei := range d.Tune.Bars[b].Lines[v] {
			e := &d.Tune.Bars[b].Lines[v][ei]
			if e.Kind != tune.Sounding {
				continue
			}
			re := d.Bars[b].Rhythm[v][ei]
			each := tune.GraceTime(e)
			late := each * tune.Ticks(len(e.Graces))
			if late > 0 {
				out[e.At] = append(out[e.At], slot{tune.Ref{Bar: b, Voice: v, Event: ei, Grace: -1}, re.Strings, true, e.Len, 0})
			}
			for gi := range e.Graces {
				at := e.At + each*tune.Ticks(gi)
				out[at] = append(out[at], slot{tune.Ref{Bar: b, Voice: v, Event: ei, Grace: gi}, re.Graces[gi], false, each, 0})
			}
			out[e.At+late] = append(out[e.At+late], slot{tune.Ref{Bar: b, Voice: v, Event: ei, Grace: -1}, re.Strings, false, e.Len - late, late})
		}
	}
	return out
}

func (d *deriver) bar(b int) {
	slots := d.slots(b)
	for ci := range d.Bars[b].Columns {
		col := &d.Bars[b].Columns[ci]
		if len(col.Cells) == 0 {
			continue
		}
		d.column(b, col, slots[col.At])
	}
}

// takers returns the slots that a cell belongs to. A held note goes to an event's
// own notes and never to a grace; before its graces are over an event has only
// held notes.
func takers(c *PlacedCell, slots []slot) []int {
	held := c.Attack == tab.Tied
	var out []int
	for i, s := range slots {
		if s.tied && !held || s.ref.Grace >= 0 && held {
			continue
		}
		if s.strings == nil {
			return append(out, i)
		}
		for _, str := range s.strings {
			if str == c.Str {
				out = append(out, i)
			}
		}
	}
	return out
}

func (d *deriver) column(b int, col *Column, slots []slot) {
	if len(slots) == 0 {
		c := col.Cells[0]
		d.fail(c.Place, c.Str, "the number stands under no letter of the rhythm line")
		return
	}
	s := tab.Stroke{BarIndex: b, At: col.At, Grace: true}
	s.Benders = d.benders(col)
	s.Placement = d.placement(col)
	fifths := d.Tune.Bars[b].Key.Fifths()
	type entry struct {
		slot  int
		pluck tab.Pluck
		note  tune.Note
		place Place
	}
	var all []entry
	for ci := range col.Cells {
		c := &col.Cells[ci]
		got := takers(c, slots)
		if len(got) == 0 {
			d.fail(c.Place, c.Str, "no voice of the rhythm line plays string %d here", c.Str)
			continue
		}
		for _, si := range got {
			p := tab.Pluck{Ref: slots[si].ref, String: c.Str, Fret: c.Fret, Attack: c.Attack, Len: slots[si].len,
				Node: c.Node, Vibrato: c.Vibrato, Damp: c.Damp}
			if c.Attack == tab.Tied && slots[si].late > 0 {
				p.Len += slots[si].late
			}
			if c.Scooped {
				p.Scoop = c.Start - c.Fret
			}
			if s.Placement.Slanted() && c.Attack != tab.Harmonic && s.Placement.Touches(c.Str) {
				near := d.Near
				if !c.Exact {
					near = max(near, 0.00501)
				}
				if f := d.geo.Contact(s.Placement, c.Str); math.Abs(f-c.Fret) <= near {
					p.Fret = f
				}
			}
			all = append(all, entry{slot: si, pluck: p, place: c.Place})
		}
	}
	if len(all) == 0 {
		return
	}
	for i := range all {
		e := &all[i]
		key := math.Round(tab.Key(d.geo, &s, &e.pluck))
		if math.IsNaN(key) || key < pitch.MinKey || key > pitch.MaxKey {
			d.fail(e.place, e.pluck.String, "fret %s on string %d sounds beyond all instruments", Number(e.pluck.Fret, true), e.pluck.String)
			return
		}
		e.note = tune.Note{Name: pitch.SpellKey(int(key), fifths), Scoop: int8(math.Round(e.pluck.Scoop)), Chop: e.pluck.Attack == tab.Chopped}
		s.Grace = s.Grace && e.pluck.Ref.Grace >= 0
		s.Len = max(s.Len, e.pluck.Len)
	}
	// Notes of each slot go from low to high.
	for si := range slots {
		var mine []int
		for i := range all {
			if all[i].slot == si {
				mine = append(mine, i)
			}
		}
		inorder.Stable(mine, func(a, b int) int {
			return cmp.Or(cmp.Compare(all[a].note.Name.Key(), all[b].note.Name.Key()), cmp.Compare(all[b].pluck.String, all[a].pluck.String))
		})
		d.addNotes(slots[si].ref, mine, func(i int) (*tab.Pluck, tune.Note) { return &all[i].pluck, all[i].note })
	}
	for _, e := range all {
		s.Plucks = append(s.Plucks, e.pluck)
	}
	inorder.Stable(s.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
	if col.Hand != nil {
		if len(col.Hand) != len(s.Plucks) {
			d.fail(col.HandAt, 0, "%d fingers stand under %d notes", len(col.Hand), len(s.Plucks))
		} else {
			for i := range s.Plucks {
				s.Plucks[i].Finger = col.Hand[i]
			}
		}
	}
	d.out.Strokes = append(d.out.Strokes, s)
	d.join(len(d.out.Strokes) - 1)
}

// addNotes puts notes into an event or grace, after those it may hold from an
// earlier column, and numbers the plucks that play them.
func (d *deriver) addNotes(ref tune.Ref, mine []int, of func(int) (*tab.Pluck, tune.Note)) {
	if len(mine) == 0 {
		return
	}
	e := &d.Tune.Bars[ref.Bar].Lines[ref.Voice][ref.Event]
	notes := &e.Notes
	if ref.Grace >= 0 {
		notes = &e.Graces[ref.Grace].Notes
	}
	before := len(*notes)
	var plucks []*tab.Pluck
	for k, i := range mine {
		p, n := of(i)
		p.Ref.Note = before + k
		*notes = append(*notes, n)
		plucks = append(plucks, p)
	}
	if before == 0 {
		return
	}
	// The held notes came from an earlier column of the same bar.
	for si := len(d.out.Strokes) - 1; si >= 0 && d.out.Strokes[si].BarIndex == ref.Bar; si-- {
		for pi := range d.out.Strokes[si].Plucks {
			p := &d.out.Strokes[si].Plucks[pi]
			whole := p.Ref
			whole.Note = ref.Note
			if whole == ref {
				plucks = append(plucks, p)
			}
		}
	}
	resort(notes, plucks)
}

// resort brings notes that came from two columns into order, and the plucks
// that point at them with it.
func resort(notes *[]tune.Note, plucks []*tab.Pluck) {
	order := make([]int, len(*notes))
	for i := range order {
		order[i] = i
	}
	inorder.Stable(order, func(a, b int) int { return cmp.Compare((*notes)[a].Name.Key(), (*notes)[b].Name.Key()) })
	sorted := make([]tune.Note, len(order))
	to := make([]int, len(order))
	for i, from := range order {
		sorted[i] = (*notes)[from]
		to[from] = i
	}
	*notes = sorted
	for _, p := range plucks {
		p.Ref.Note = to[p.Ref.Note]
	}
}

// benders returns the benders engaged in a column: those whose letters stand
// there.
func (d *deriver) benders(col *Column) rig.BenderSet {
	var set rig.BenderSet
	for i := range col.Cells {
		s, bad := BenderSet(d.Rig, col.Cells[i].Benders)
		if bad != "" {
			d.fail(col.Cells[i].Place, col.Cells[i].Str, "the rig has no bender %q", bad)
		}
		set |= s
	}
	s, bad := BenderSet(d.Rig, col.Steel.Benders)
	if bad != "" {
		d.fail(col.Place, 0, "the rig has no bender %q", bad)
	}
	return set | s
}

// placement returns how the bar is laid in a column: as the steel line says, or
// as the numbers ask for: square for one fret (steel.Geometry.Across), a slant for
// two.
func (d *deriver) placement(col *Column) steel.Placement {
	under := func(s int) (float64, bool) {
		for i := range col.Cells {
			if c := &col.Cells[i]; c.Str == s && c.Attack != tab.Harmonic && c.Fret > 0 {
				return c.Fret, true
			}
		}
		return 0, false
	}
	if col.Steel.Laid {
		p := col.Steel.Placement
		if int(p.Last) > len(d.Rig.Strings) {
			d.fail(col.Place, 0, "the rig has no string %d", p.Last)
			return steel.Placement{}
		}
		if p.Kind == steel.Lifted || col.Steel.Framed {
			return p
		}
		first, ok1 := under(int(p.First))
		last, ok2 := under(int(p.Last))
		if p.Kind == steel.Split && !ok1 {
			first, ok1 = under(int(p.First) + 1)
		}
		if !p.Slanted() {
			for s := int(p.First); s <= int(p.Last) && !ok1; s++ {
				first, ok1 = under(s)
			}
			last, ok2 = first, ok1
		}
		if !ok1 || !ok2 {
			d.fail(col.Place, 0, "the steel's frets can't be told from the numbers under %q", FormatPlacement(p, false))
			return steel.Placement{}
		}
		p.FirstFret, p.LastFret = first, last
		return p
	}
	var p steel.Placement
	for i := range col.Cells {
		c := &col.Cells[i]
		if c.Attack == tab.Harmonic || c.Fret <= 0 {
			continue
		}
		if p.First == 0 {
			p.Kind, p.First, p.FirstFret = steel.Straight, int8(c.Str), c.Fret
		}
		p.Last, p.LastFret = int8(c.Str), c.Fret
	}
	switch {
	case p.Kind == steel.Lifted:
		return p
	case p.FirstFret > p.LastFret:
		p.Kind = steel.Forward
		return p
	case p.FirstFret < p.LastFret:
		p.Kind = steel.Reverse
		return p
	}
	far, near := false, false
	for i := range col.Cells {
		c := &col.Cells[i]
		if c.Attack == tab.Harmonic || c.Fret <= 0 {
			far = far || c.Str < int(p.First)
			near = near || c.Str > int(p.Last)
		}
	}
	return d.geo.Across(int(p.First), int(p.Last), far, near, p.FirstFret)
}

// join lets what was played before on a stroke's strings glide into it, and
// remembers its plucks.
func (d *deriver) join(si int) {
	s := &d.out.Strokes[si]
	for _, p := range s.Plucks {
		if last, ok := d.lastPluck[p.Ref.Voice][p.String]; ok && p.Attack.Carried() {
			d.out.Strokes[last.stroke].Plucks[last.pluck].Glide = true
		}
	}
	for pi, p := range s.Plucks {
		d.lastPluck[p.Ref.Voice][p.String] = pluckAt{si, pi}
	}
}

// joinNotes gives the tune's notes the ties and glides of their plucks, now
// that every note has its place.
func (d *deriver) joinNotes() {
	last := make([]map[int]tune.Ref, len(d.Tune.Voices))
	for v := range last {
		last[v] = map[int]tune.Ref{}
	}
	for si := range d.out.Strokes {
		s := &d.out.Strokes[si]
		for pi := range s.Plucks {
			p := &s.Plucks[pi]
			n := d.Tune.Note(p.Ref)
			n.Glide = p.Glide
			if p.Attack != tab.Tied {
				continue
			}
			before, ok := last[p.Ref.Voice][p.String]
			if !ok || before.Grace >= 0 {
				continue
			}
			if b := d.Tune.Note(before); b.Name.Key() == n.Name.Key() && !b.Glide {
				b.Tie = true
			}
		}
		for pi := range s.Plucks {
			p := &s.Plucks[pi]
			last[p.Ref.Voice][p.String] = p.Ref
		}
	}
}
