package sheet

import (
	"cmp"
	"slices"

	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// score is a tune (and its tab) on the way to being drawn. Lengths are staff
// spaces; a vertical place p on the staff counts half spaces upwards from the
// middle line.
type score struct {
	t       *tune.Tune
	tab     *tab.Tab // nil for a tune alone
	geo     *steel.Geometry
	o       Options
	st      style
	low     bool // the clef has an 8 below: written an octave above what sounds
	bars    []*measure
	notes   map[tune.Ref]*head // every written note by where it stands
	plays   map[tune.Ref]*play // what plays it
	after   map[*play]*play    // the next pluck of the same string
	before  map[*play]*play    // the pluck of the same string before
	slurs   []slur
	groups  []tupletGroup
	endings []ending
	verses  []verse // the rows of lyrics under the staff, from the top
}

// measure is one written bar.
type measure struct {
	i     int // index into Tune.Bars
	b     *tune.Bar
	nodes []*node
	notes []*note // voice by voice, in order, graces before what they grace
	// gap is how many bars of rest this one stands for; 0 and 1 are one bar.
	rests int
	skip  bool // swallowed by a rest of many bars
	cuts  []int
}

// node is one instant of a bar, with everything that stands at it.
type node struct {
	at    tune.Ticks
	grace int // −n … −1 for graces before at, 0 for the instant itself
	notes []*note
	stops []*stop
	bar   *measure
	chord *tune.ChordAt

	left, right [lanes]float64 // reach from x, when has is set
	has         [lanes]bool
	ideal       float64 // distance to the next node at natural spacing
	x           float64 // set for each system
	line        int     // the system that it stands in
}

// lanes are the horizontal bands in which things must not run into each other.
const (
	laneStaff = iota
	laneTab
	laneChord
	laneLean
	laneFinger
	laneLyric                  // and one for each further verse
	lanes     = laneLyric + 10 // later verses are printed after the music
)

// maxVerses is how many verses of lyrics are set under the notes.
const maxVerses = lanes - laneLyric

// note is one event of a voice on the staff: a note, a chord, a rest or a
// grace.
type note struct {
	bar    *measure
	voice  int
	event  int
	grace  int // −1 for the event itself
	at     tune.Ticks
	len    tune.Ticks
	ev     *tune.Event
	value  tune.Value
	rest   bool
	heads  []*head // low to high
	up     bool    // the stem goes up
	node   *node
	size   float64 // 1, or less for graces
	dx     float64 // moved aside for another voice
	restY  float64 // where a rest stands, below the staff's top line
	beam   *beam
	hidden bool // a rest that another voice already shows
	many   bool // several voices sound in this bar
	slash  bool
	// Of the stem, in staff spaces from the staff's top line, y down; set when drawn.
	stemX, stemTip float64
}

// head is one notehead.
type head struct {
	of       *note
	ref      tune.Ref
	n        *tune.Note
	p        int // half spaces above the middle line
	symbol   draw.Symbol
	dx       float64 // moved to the other side of the stem
	acc      draw.Symbol
	brackets bool
	accX     float64 // left edge of the accidental from the node's x
	dotP     int     // the space that its dots stand in
	play     *play
}

// play is one pluck in the tablature.
type play struct {
	stroke *tab.Stroke
	pluck  *tab.Pluck
	stop   *stop
	head   *head
	text   string
	dx     float64 // moved by the steel's lean
	half   float64 // half the width of the number with all that hangs on it
}

// stop is one stroke in the tablature: one way the steel lies.
type stop struct {
	node   *node
	stroke *tab.Stroke
	plays  []*play
	lean   string // the label of a slant
	amiss  bool   // a note of it is a compromise
}

// stemmed reports whether a note has a stem.
func (n *note) stemmed() bool { return !n.rest && n.value.Log2 >= 1 }

// tails counts the flags or beams that a note's value has.
func (n *note) tails() int {
	if n.rest {
		return 0
	}
	return n.value.Flags()
}

// top and bottom are the outermost heads.
func (n *note) top() *head    { return n.heads[len(n.heads)-1] }
func (n *note) bottom() *head { return n.heads[0] }

// y turns a vertical place into staff spaces below the top line.
func y(p int) float64 { return 2 - float64(p)/2 }

// newScore reads a tune, and the tab that plays it when there is one.
func newScore(t *tune.Tune, tb *tab.Tab, o Options) *score {
	strings := 0
	if tb != nil {
		strings = len(tb.Rig.Strings)
	}
	s := &score{
		t: t, tab: tb, o: o, st: styleOf(o, strings),
		notes: map[tune.Ref]*head{}, plays: map[tune.Ref]*play{}, after: map[*play]*play{}, before: map[*play]*play{},
	}
	s.low = tb != nil || low(t)
	if tb != nil {
		s.geo = steel.New(tb.Rig)
	}
	s.readBars()
	if tb != nil {
		s.readStrokes()
	}
	slices.SortFunc(s.verses, func(a, b verse) int {
		return cmp.Or(cmp.Compare(a.voice, b.voice), cmp.Compare(a.number, b.number))
	})
	s.mergeRests()
	for _, m := range s.bars {
		s.setBar(m)
	}
	s.readSlurs()
	s.readTuplets()
	s.readEndings()
	return s
}

// low reports whether a tune lies so low that it is better read an octave up.
func low(t *tune.Tune) bool {
	sum, n := 0, 0
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				for _, x := range line[j].Notes {
					sum += x.Name.Step()
					n++
				}
			}
		}
	}
	return n > 0 && sum/n < pitch.Note(pitch.C, 0, 4).Step()
}

// place returns the vertical place of a pitch: the middle line of the treble
// clef is B4.
func (s *score) place(n pitch.Name) int {
	p := n.Step() - pitch.Note(pitch.B, 0, 4).Step()
	if s.low {
		p += 7
	}
	return p
}

func (s *score) readBars() {
	for i := range s.t.Bars {
		b := &s.t.Bars[i]
		m := &measure{i: i, b: b}
		s.bars = append(s.bars, m)
		busy := 0
		for _, line := range b.Lines {
			for _, e := range line {
				if e.Kind == tune.Sounding {
					busy++
					break
				}
			}
		}
		for v, line := range b.Lines {
			for ei := range line {
				e := &line[ei]
				if e.Kind == tune.Skip {
					continue
				}
				for _, l := range e.Lyrics {
					if l.Text != "" && !slices.Contains(s.verses, verse{v, l.Verse}) {
						s.verses = append(s.verses, verse{v, l.Verse})
					}
				}
				if e.Kind == tune.Sounding {
					for gi := range e.Graces {
						g := &e.Graces[gi]
						n := &note{bar: m, voice: v, event: ei, grace: gi, at: e.At, ev: e, value: g.Value, size: 0.62, many: busy > 1, slash: g.Slash}
						s.addHeads(n, g.Notes)
						m.notes = append(m.notes, n)
					}
				}
				n := &note{bar: m, voice: v, event: ei, grace: -1, at: e.At, len: e.Len, ev: e, value: e.Value, rest: e.Kind == tune.Rest, size: 1, many: busy > 1}
				if n.rest && busy > 0 && onlyRests(line) {
					n.hidden = true // the other voice says what time passes
				}
				s.addHeads(n, e.Notes)
				m.notes = append(m.notes, n)
			}
		}
	}
}

// verse is one row of lyrics: a verse of a voice.
type verse struct{ voice, number int }

// verseRow returns the row of a verse, from 0, or −1 when there is no room for it
// under the notes.
func (s *score) verseRow(voice, number int) int {
	i := slices.Index(s.verses, verse{voice, number})
	if i >= maxVerses {
		return -1
	}
	return i
}

// onlyRests reports whether a voice is silent for the whole bar.
func onlyRests(line []tune.Event) bool {
	for i := range line {
		if line[i].Kind == tune.Sounding {
			return false
		}
	}
	return true
}

func (s *score) addHeads(n *note, notes []tune.Note) {
	for i := range notes {
		ref := tune.Ref{Bar: n.bar.i, Voice: n.voice, Event: n.event, Grace: n.grace, Note: i}
		h := &head{of: n, ref: ref, n: &notes[i], p: s.place(notes[i].Name), symbol: sign.Head(n.value)}
		n.heads = append(n.heads, h)
		s.notes[ref] = h
	}
	slices.SortStableFunc(n.heads, func(a, b *head) int { return cmp.Compare(a.p, b.p) })
}

func (s *score) readStrokes() {
	last := map[int]*play{} // by string
	for i := range s.tab.Strokes {
		k := &s.tab.Strokes[i]
		st := &stop{stroke: k}
		for j := range k.Plucks {
			pl := &play{stroke: k, pluck: &k.Plucks[j], stop: st}
			st.plays = append(st.plays, pl)
			s.plays[pl.pluck.Ref] = pl
			if h := s.notes[pl.pluck.Ref]; h != nil {
				h.play, pl.head = pl, h
				if pl.pluck.Attack == tab.Harmonic || pl.pluck.Attack == tab.PalmHarmonic {
					h.symbol = sign.Diamond(h.symbol)
				}
			}
			if b := last[pl.pluck.String]; b != nil {
				s.after[b] = pl
				s.before[pl] = b
			}
			last[pl.pluck.String] = pl
		}
		if k.Bar >= 0 && k.Bar < len(s.bars) {
			s.setStop(st)
			s.bars[k.Bar].attach(st)
		}
	}
	for i := range s.tab.Compromises {
		c := &s.tab.Compromises[i]
		if h := s.notes[c.Ref]; h != nil {
			h.of.bar.markAmiss(h.of)
		}
	}
}

// attach puts a stroke at the instant of the first written note that it plays,
// or at its own time when it plays none.
func (m *measure) attach(st *stop) {
	at, grace := st.stroke.At, 0
	for _, p := range st.plays {
		if p.head != nil {
			at, grace = p.head.of.at, m.graceIndex(p.head.of)
			break
		}
	}
	n := m.node(at, grace)
	st.node = n
	n.stops = append(n.stops, st)
}

func (m *measure) markAmiss(of *note) {
	n := m.node(of.at, m.graceIndex(of))
	for _, st := range n.stops {
		st.amiss = true
		return
	}
	n.stops = append(n.stops, &stop{node: n, amiss: true})
}

// graceIndex counts graces back from the note that they stand before.
func (m *measure) graceIndex(n *note) int {
	if n.grace < 0 {
		return 0
	}
	return n.grace - len(n.ev.Graces)
}

// node finds or makes the instant at a time.
func (m *measure) node(at tune.Ticks, grace int) *node {
	i, ok := slices.BinarySearchFunc(m.nodes, node{at: at, grace: grace}, func(a *node, b node) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.grace, b.grace))
	})
	if !ok {
		m.nodes = slices.Insert(m.nodes, i, &node{at: at, grace: grace, bar: m})
	}
	return m.nodes[i]
}

// silent reports whether a bar holds nothing but rest and nothing that must be
// read at its place.
func (s *score) silent(m *measure) bool {
	b := m.b
	if len(b.Chords)+len(b.Texts)+len(b.Signs)+len(b.Tempos) > 0 || b.Part != "" || b.Endings != nil || b.EndingEnds {
		return false
	}
	if b.Meter.Len() == 0 || b.Len != b.Meter.Len() || len(m.notes) == 0 {
		return false
	}
	for _, n := range m.notes {
		if !n.rest || len(n.ev.Marks) > 0 || len(n.ev.Lyrics) > 0 {
			return false
		}
	}
	for _, r := range s.o.Remarks {
		if r.Bar == m.i {
			return false
		}
	}
	return true
}

// mergeRests makes runs of silent bars one rest of many bars.
func (s *score) mergeRests() {
	for i := 0; i < len(s.bars); {
		if !s.silent(s.bars[i]) || s.bars[i].b.Right.Repeat > 0 {
			i++
			continue
		}
		j := i + 1
		for j < len(s.bars) && s.silent(s.bars[j]) && s.bars[j].b.Left.Repeat == 0 && s.bars[j].b.Key == s.bars[i].b.Key && s.bars[j].b.Meter.Equal(s.bars[i].b.Meter) && s.bars[j-1].b.Right == (tune.Barline{}) {
			j++
		}
		if j-i > 1 {
			s.bars[i].rests = j - i
			for k := i + 1; k < j; k++ {
				s.bars[k].skip = true
			}
		}
		i = j
	}
}

// last returns the bar at whose end a measure's right barline stands.
func (s *score) last(m *measure) *measure {
	if m.rests > 1 {
		return s.bars[m.i+m.rests-1]
	}
	return m
}
