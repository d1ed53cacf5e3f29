package score

import (
	"cmp"
	"slices"
	"strconv"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/sheet/sign"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// ChordWidth returns the room that a chord symbol takes.
func (s *Score) ChordWidth(c *tune.ChordAt) float64 {
	return min(s.Style.Chord*sign.ChordEms(sign.Chord(c)), MaxWords)
}

// MaxWords is the widest that a single chord symbol or syllable may stand, in
// staff spaces; longer ones are set smaller.
const MaxWords = 34

// Score is a tune (and its tab) on the way to being drawn. Lengths are staff
// spaces; a vertical place p on the staff counts half spaces upwards from the
// middle line.
type Score struct {
	Tune    *tune.Tune
	Tab     *tab.Tab // nil for a tune alone
	Geo     *steel.Geometry
	Options Options
	Style   Style
	Low     bool // the clef has an 8 below: written an octave above what sounds
	Bars    []*Measure
	notes   map[tune.Ref]*Head // every written note by where it stands
	After   map[*Play]*Play    // the next pluck of the same string
	Before  map[*Play]*Play    // the pluck of the same string before
	Slurs   []Slur
	Groups  []TupletGroup
	Endings []Ending
	Verses  []Verse // the rows of lyrics under the staff, from the top
}

// Measure is one written bar.
type Measure struct {
	Index int // index into Tune.Bars
	Bar   *tune.Bar
	Nodes []*Node
	Notes []*Note // voice by voice, in order, graces before what they grace
	// Rests is how many bars of rest this one stands for; 0 and 1 are one bar.
	Rests int
	Skip  bool // swallowed by a rest of many bars
	cuts  []int
}

// Node is one instant of a bar, with everything that stands at it.
type Node struct {
	At      tune.Ticks
	Grace   int // −n … −1 for graces before at, 0 for the instant itself
	Notes   []*Note
	Stops   []*Stop
	Measure *Measure
	Chord   *tune.ChordAt

	Left, Right [Lanes]float64 // reach from x, when Has is set
	Has         [Lanes]bool
	Ideal       float64 // distance to the next node at natural spacing
	X           float64 // set for each system
	Line        int     // the system that it stands in
}

// lanes are the horizontal bands in which things must not run into each other.
const (
	LaneStaff = iota
	LaneTab
	LaneChord
	laneLean
	laneFinger
	LaneLyric                  // and one for each further verse
	Lanes     = LaneLyric + 10 // later verses are printed after the music
)

// MaxVerses is how many verses of lyrics are set under the notes.
const MaxVerses = Lanes - LaneLyric

// Note is one event of a voice on the staff: a note, a chord, a rest or a
// grace.
type Note struct {
	Measure    *Measure
	Voice      int
	EventIndex int
	Grace      int // −1 for the event itself
	At         tune.Ticks
	len        tune.Ticks
	Event      *tune.Event
	Value      tune.Value
	Rest       bool
	Heads      []*Head // low to high
	Up         bool    // the stem goes up
	Node       *Node
	Size       float64 // 1, or less for graces
	DX         float64 // moved aside for another voice
	RestY      float64 // where a rest stands, below the staff's top line
	Beam       *Beam
	Hidden     bool // a rest that another voice already shows
	Many       bool // several voices sound in this bar
	Slash      bool
	// Of the stem, in staff spaces from the staff's top line, y down; set when drawn.
	StemX, StemTip float64
}

// Head is one notehead.
type Head struct {
	Of          *Note
	ref         tune.Ref
	Note        *tune.Note
	Place       int // half spaces above the middle line
	Symbol      draw.Symbol
	DX          float64 // moved to the other side of the stem
	Accidental  draw.Symbol
	Brackets    bool
	AccidentalX float64 // left edge of the accidental from the node's x
	DotP        int     // the space that its dots stand in
	Play        *Play
}

// Play is one pluck in the tablature.
type Play struct {
	stroke *tab.Stroke
	Pluck  *tab.Pluck
	Stop   *Stop
	Head   *Head
	Text   string
	Size   float64 // of the number: 1, or less for graces
	dx     float64 // moved by the steel's lean
	Half   float64 // half the width of the number with all that hangs on it
}

// Stop is one stroke in the tablature: one way the steel lies.
type Stop struct {
	Node   *Node
	Stroke *tab.Stroke
	Plays  []*Play
	Lean   string // the label of a slant: its angle; of a steel laid short: its strings
	Short  bool   // the steel is laid short
	Amiss  bool   // a note of it is a compromise
}

// Stemmed reports whether a note has a stem.
func (n *Note) Stemmed() bool { return !n.Rest && n.Value.Log2 >= 1 }

// Tails counts the flags or beams that a note's value has.
func (n *Note) Tails() int {
	if n.Rest {
		return 0
	}
	return n.Value.Flags()
}

// Top returns the highest head.
func (n *Note) Top() *Head { return n.Heads[len(n.Heads)-1] }

// Bottom returns the lowest head.
func (n *Note) Bottom() *Head { return n.Heads[0] }

// Y turns a vertical place into staff spaces below the top line.
func Y(p int) float64 { return 2 - float64(p)/2 }

// New reads a tune, and the tab that plays it when there is one.
func New(t *tune.Tune, tb *tab.Tab, o Options) *Score {
	strings := 0
	if tb != nil {
		strings = len(tb.Rig.Strings)
	}
	s := &Score{
		Tune: t, Tab: tb, Options: o, Style: styleOf(o, strings),
		notes: map[tune.Ref]*Head{}, After: map[*Play]*Play{}, Before: map[*Play]*Play{},
	}
	s.Low = tb != nil && tb.Transposed != 0 || low(t)
	if tb != nil {
		s.Geo = steel.New(tb.Rig)
	}
	r := &reader{s}
	r.readBars()
	if tb != nil {
		r.readStrokes()
	}
	inorder.Stable(s.Verses, func(a, b Verse) int {
		return cmp.Or(cmp.Compare(a.Voice, b.Voice), cmp.Compare(a.Number, b.Number))
	})
	if !o.EveryBar {
		r.mergeRests()
	}
	set := &setter{s}
	for _, m := range s.Bars {
		set.setBar(m)
	}
	r.readSlurs()
	r.readTuplets()
	r.readEndings()
	return s
}

// place returns the vertical place of a pitch: the middle line of the treble
// clef is B4.
func (s *Score) place(n pitch.Name) int {
	p := n.Step() - pitch.Note(pitch.B, 0, 4).Step()
	if s.Low {
		p += 7
	}
	return p
}

// Verse is one row of lyrics: a verse of a voice.
type Verse struct{ Voice, Number int }

// verseRow returns the row of a verse, from 0, or −1 when there is no room for it
// under the notes.
func (s *Score) verseRow(voice, number int) int {
	i := slices.Index(s.Verses, Verse{voice, number})
	if i >= MaxVerses {
		return -1
	}
	return i
}

// attach puts a stroke at the instant of the first written note that it plays,
// or at its own time when it plays none.
func (m *Measure) attach(st *Stop) {
	at, grace := st.Stroke.At, 0
	for _, p := range st.Plays {
		if p.Head != nil {
			at, grace = p.Head.Of.At, m.graceIndex(p.Head.Of)
			break
		}
	}
	n := m.node(at, grace)
	st.Node = n
	n.Stops = append(n.Stops, st)
}

func (m *Measure) markAmiss(of *Note) {
	n := m.node(of.At, m.graceIndex(of))
	for _, st := range n.Stops {
		st.Amiss = true
		return
	}
	n.Stops = append(n.Stops, &Stop{Node: n, Amiss: true})
}

// graceIndex counts graces back from the note that they stand before.
func (m *Measure) graceIndex(n *Note) int {
	if n.Grace < 0 {
		return 0
	}
	return n.Grace - len(n.Event.Graces)
}

// node finds or makes the instant at a time.
func (m *Measure) node(at tune.Ticks, grace int) *Node {
	i, ok := slices.BinarySearchFunc(m.Nodes, Node{At: at, Grace: grace}, func(a *Node, b Node) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Grace, b.Grace))
	})
	if !ok {
		m.Nodes = slices.Insert(m.Nodes, i, &Node{At: at, Grace: grace, Measure: m})
	}
	return m.Nodes[i]
}

// Last returns the bar at whose end a measure's right barline stands.
func (s *Score) Last(m *Measure) *Measure {
	if m.Rests > 1 {
		return s.Bars[m.Index+m.Rests-1]
	}
	return m
}

// Keys names what a group stands for: its bar (index into the tune), its
// time from the start of the bar and its voice.
func Keys(m *Measure, at tune.Ticks, more ...draw.Key) []draw.Key {
	return append([]draw.Key{{Name: "bar", Value: strconv.Itoa(m.Index)}, {Name: "at", Value: at.String()}}, more...)
}
