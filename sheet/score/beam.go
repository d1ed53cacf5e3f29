package score

import (
	"math"

	"lapwright/sheet/draw"
	"lapwright/tune"
)

// Beam is a group of notes whose tails are joined.
type Beam struct {
	Notes []*Note
	Up    bool
}

// setBeams groups the notes of each voice by beat. Notes that the source sets
// apart stay apart. Plain eighths join over two beats in 4/4 (never across the
// middle of the bar) and over the whole bar in 2/4 and 3/4 (common practice;
// Gould, Behind Bars, chapter 6).
func (s *setter) setBeams(m *Measure) {
	for i := 0; i < len(m.Notes); {
		j := i
		for j < len(m.Notes) && m.Notes[j].Voice == m.Notes[i].Voice {
			j++
		}
		var main []*Note
		for k := i; k < j; k++ {
			if n := m.Notes[k]; n.Grace < 0 {
				main = append(main, n)
				continue
			}
			if m.Notes[k].Grace == 0 {
				beamGraces(m.Notes[k:j])
			}
		}
		s.beamVoice(m, main)
		i = j
	}
}

// beamGraces joins the graces before one event when they all have tails.
func beamGraces(notes []*Note) {
	var run []*Note
	for _, n := range notes {
		if n.Grace < 0 {
			break
		}
		if n.Tails() == 0 {
			return
		}
		run = append(run, n)
	}
	join(run)
}

func join(run []*Note) *Beam {
	if len(run) < 2 {
		return nil
	}
	b := &Beam{Notes: run}
	for _, n := range run {
		n.Beam = b
	}
	return b
}

func (s *setter) beamVoice(m *Measure, notes []*Note) {
	beats, halves := beamSpans(m)
	var runs [][]*Note
	for i := 0; i < len(notes); {
		if notes[i].Tails() == 0 {
			i++
			continue
		}
		j := i + 1
		for j < len(notes) && notes[j].Tails() > 0 && !notes[j-1].Event.BeamEnd && beats(notes[j].At) == beats(notes[i].At) && !m.cutAt(notes[j].At) {
			j++
		}
		runs = append(runs, notes[i:j:j])
		i = j
	}
	for i := 0; i < len(runs); {
		run := runs[i]
		j := i + 1
		for j < len(runs) && plainPair(m, runs[j-1]) && plainPair(m, runs[j]) && follows(runs[j-1], runs[j]) && halves(runs[j][0].At) == halves(run[0].At) && !m.cutAt(runs[j][0].At) {
			j++
		}
		var all []*Note
		for _, r := range runs[i:j] {
			all = append(all, r...)
		}
		join(all)
		i = j
	}
}

// plainPair reports whether a run is two plain eighths that fill a quarter beat.
func plainPair(m *Measure, run []*Note) bool {
	if len(run) != 2 || m.Bar.Meter.Beat() != tune.Whole/4 {
		return false
	}
	for _, n := range run {
		if n.Value != (tune.Value{Log2: 3}) || len(n.Event.Tuplets) > 0 {
			return false
		}
	}
	return true
}

// follows reports whether run b begins where run a ends, with nothing between.
func follows(a, b []*Note) bool {
	last := a[len(a)-1]
	return !last.Event.BeamEnd && last.At+last.len == b[0].At && last.EventIndex+1 == b[0].EventIndex
}

// beamSpans returns two functions that number the spans of a bar: those in which
// notes are beamed, and those over which plain eighths may join.
func beamSpans(m *Measure) (beats, halves func(tune.Ticks) int) {
	mt := m.Bar.Meter
	early := tune.Ticks(0) // a pickup counts from the end of a full bar
	if m.Bar.Number == 0 {
		early = max(0, mt.Len()-m.Bar.Len)
	}
	var parts []int
	switch {
	case len(mt.Groups) > 0:
		parts = mt.Groups
	case mt.Unit >= 8 && mt.Beats == 5:
		parts = []int{3, 2}
	case mt.Unit >= 8 && mt.Beats == 7:
		parts = []int{2, 2, 3}
	case mt.Unit >= 8 && mt.Beats <= 3:
		parts = []int{max(mt.Beats, 1)}
	}
	if parts != nil {
		unit := tune.Whole / tune.Ticks(max(mt.Unit, 1))
		by := func(at tune.Ticks) int {
			at += early
			for i, p := range parts {
				if at -= unit * tune.Ticks(p); at < 0 {
					return i
				}
			}
			return len(parts)
		}
		return by, by
	}
	beat := mt.Beat()
	if mt.Unit >= 8 {
		beat = max(beat, tune.Whole/4)
	}
	half := mt.Len()
	if mt.Unit == 4 && mt.Beats%2 == 0 && mt.Beats >= 4 {
		half = 2 * beat
	}
	return spans(early, beat), spans(early, half)
}

func spans(early, d tune.Ticks) func(tune.Ticks) int {
	if d <= 0 {
		return func(tune.Ticks) int { return 0 }
	}
	return func(at tune.Ticks) int { return int((at + early) / d) }
}

// cutAt reports whether the bar is broken over two lines at this time.
func (m *Measure) cutAt(at tune.Ticks) bool {
	for _, c := range m.cuts {
		if m.Nodes[c].At == at {
			return true
		}
	}
	return false
}

// Stem lengths in staff spaces: an octave from the head, and never less than
// these when beams take their share (Ross, The Art of Music Engraving and
// Processing, 1970; from memory).
const (
	stemLength    = 3.5
	stemShortest  = 2.5
	stemBeamed    = 3.25
	beamMostSlope = 0.22 // rise over run
	beamThickness = 0.5
	beamStep      = 0.75 // from one beam of a note to its next
	graceStem     = 2.6
	middleLine    = 2.0
)

// stemAt returns the middle of a note's stem.
func (n *Note) stemAt() float64 {
	x := n.Node.X + n.DX
	half := draw.Engraving.Stem / 2 * n.Size
	if n.Up {
		return x + n.anchorHead().Symbol.StemUp().X*n.Size - half
	}
	return x + n.anchorHead().Symbol.StemDown().X*n.Size + half
}

// anchorHead is the head that the stem starts from.
func (n *Note) anchorHead() *Head {
	if n.Up {
		return n.Bottom()
	}
	return n.Top()
}

// StemRoot returns where the stem leaves its head.
func (n *Note) StemRoot() float64 {
	h := n.anchorHead()
	if n.Up {
		return Y(h.Place) + h.Symbol.StemUp().Y*n.Size
	}
	return Y(h.Place) + h.Symbol.StemDown().Y*n.Size
}

// SetStem finds the end of a stem that stands alone. Stems of heads on ledger
// lines reach the middle line; stems that point out of the staff are shortened
// by degrees.
func (n *Note) SetStem() {
	n.StemX = n.stemAt()
	length := stemLength + beamStep*float64(max(0, n.Tails()-2))
	if n.Grace >= 0 {
		length = graceStem
	}
	far := n.Top()
	sign := -1.0
	if !n.Up {
		far, sign = n.Bottom(), 1
	}
	if n.Grace < 0 && n.Tails() == 0 {
		// Out of the staff already: up to one space shorter.
		out := float64(far.Place)
		if !n.Up {
			out = -out
		}
		length -= min(max(0, out)/6, 1) * (stemLength - stemShortest)
	}
	n.StemTip = Y(far.Place) + sign*length
	if n.Grace < 0 {
		if n.Up {
			n.StemTip = min(n.StemTip, middleLine)
		} else {
			n.StemTip = max(n.StemTip, middleLine)
		}
	}
}

// Slope is the line that a beam's outer edge lies on.
type Slope struct{ x0, y0, rise float64 }

// Height returns the line's height at a place across.
func (l Slope) Height(x float64) float64 { return l.y0 + l.rise*(x-l.x0) }

// setBeam finds the beam's line and ends every stem at it. The line follows
// the interval between the outer notes, gently; it is level when the inner
// notes do not lie between the outer, and then sits on, hangs from or straddles
// a staff line.
func (b *Beam) Set() Slope {
	sign := -1.0
	if !b.Up {
		sign = 1
	}
	edge := func(n *Note) float64 { // the head nearest the beam
		if b.Up {
			return Y(n.Top().Place)
		}
		return Y(n.Bottom().Place)
	}
	most := 0
	for _, n := range b.Notes {
		n.StemX = n.stemAt()
		most = max(most, n.Tails())
	}
	first, last := b.Notes[0], b.Notes[len(b.Notes)-1]
	dx := last.StemX - first.StemX
	dy := edge(last) - edge(first)
	rise := 0.0
	if dx > 0 && !b.level(edge, sign) {
		steps := math.Abs(dy) * 2
		want := []float64{0, 0.25, 0.5, 0.75, 1, 1.25, 1.4, 1.5}[min(int(math.Round(steps)), 7)]
		want = min(want, beamMostSlope*dx)
		rise = math.Copysign(want, dy) / dx
	}
	need := stemBeamed + beamStep*float64(max(0, most-2))
	if b.Notes[0].Grace >= 0 {
		need = graceStem
	}
	line := Slope{first.StemX, 0, rise}
	// The line must stand off every head: shift it outwards until it does.
	off := math.Inf(-1)
	for _, n := range b.Notes {
		// sign·(line − head) ≥ need at every stem
		off = max(off, sign*(edge(n)-line.Height(n.StemX))+need)
	}
	line.y0 = sign * off
	if first.Grace < 0 {
		// Beams of notes far off reach the middle line.
		for _, x := range [2]float64{first.StemX, last.StemX} {
			line.y0 += sign * max(0, sign*(middleLine-line.Height(x)))
		}
		line.y0 = snap(line.y0, sign)
	}
	for _, n := range b.Notes {
		n.StemTip = line.Height(n.StemX)
	}
	return line
}

// level reports whether the beam must be level: its outer notes are equal, or an
// inner note lies nearer the beam than both.
func (b *Beam) level(edge func(*Note) float64, sign float64) bool {
	first, last := edge(b.Notes[0]), edge(b.Notes[len(b.Notes)-1])
	if first == last {
		return true
	}
	near := max(sign*first, sign*last)
	for _, n := range b.Notes[1 : len(b.Notes)-1] {
		if sign*edge(n) >= near {
			return true
		}
	}
	return false
}

// snap moves the outer edge of a beam outwards to where it sits on, straddles
// or hangs from a staff line, so that no thin wedge of white shows inside the
// staff.
func snap(edge, sign float64) float64 {
	inner := edge - sign*beamThickness/2 // the middle of the outermost beam
	if inner < -0.5 || inner > 4.5 {
		return edge
	}
	quarters := sign * math.Ceil(sign*inner*4-4e-9) // the nearest outwards
	if math.Abs(math.Mod(quarters, 4)) == 2 {
		quarters += sign // not in the middle of a space
	}
	return quarters/4 + sign*beamThickness/2
}

// stub is one piece of a beam: from note i to note j, or half a piece on one
// side of a note.
type stub struct {
	Level      int // 1 is the outermost
	From, To   int
	Left, Half bool
}

// Pieces lists the beams of a group. A note with more tails than both its
// neighbours has a stub towards the neighbour that it shares a beat with.
func (b *Beam) Pieces() []stub {
	var out []stub
	most := 0
	for _, n := range b.Notes {
		most = max(most, n.Tails())
	}
	for level := 1; level <= most; level++ {
		for i := 0; i < len(b.Notes); {
			if b.Notes[i].Tails() < level {
				i++
				continue
			}
			j := i
			for j+1 < len(b.Notes) && b.Notes[j+1].Tails() >= level {
				j++
			}
			if j > i {
				out = append(out, stub{Level: level, From: i, To: j})
			} else {
				out = append(out, stub{Level: level, From: i, To: i, Half: true, Left: b.stubLeft(i)})
			}
			i = j + 1
		}
	}
	return out
}

// stubLeft reports whether the stub of note i points back: at the end of a group,
// or when the note does not begin on a multiple of twice its own length.
func (b *Beam) stubLeft(i int) bool {
	switch {
	case i == 0:
		return false
	case i == len(b.Notes)-1:
		return true
	}
	n := b.Notes[i]
	return n.len > 0 && (n.At-b.Notes[0].At)%(2*n.len) != 0
}
