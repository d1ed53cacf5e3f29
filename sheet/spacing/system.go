package spacing

import (
	"lapwright/sheet/score"
	"lapwright/tune"
)

// XAt returns where a time of a bar stands across in this line, and whether it
// does; the end of the bar is its right barline.
func (sy *System) XAt(m *score.Measure, at tune.Ticks) (float64, bool) {
	for _, sp := range sy.SpanOf(m) {
		if at >= m.Bar.Len && sp.Last && m.Bar.Len > 0 {
			return sp.X1, true
		}
	}
	for _, nd := range sy.Nodes {
		if nd.Measure == m && nd.At == at && nd.Grace == 0 {
			return nd.X, true
		}
	}
	return 0, false
}

// Along returns where any time of a bar stands across in this line, between the
// instants beside it in proportion to time, and whether it does.
func (sy *System) Along(barIndex int, at tune.Ticks) (float64, bool) {
	for _, sp := range sy.Spans {
		m := sp.Measure
		if barIndex < m.Index || barIndex >= m.Index+max(m.Rests, 1) {
			continue
		}
		if m.Rests > 1 { // rests of many bars in one
			part := (float64(barIndex-m.Index) + float64(at)/float64(max(m.Bar.Len, 1))) / float64(m.Rests)
			return sp.X0 + part*(sp.X1-sp.X0), true
		}
		x0, t0, x1, t1 := sp.X0, tune.Ticks(-1), sp.X1, m.Bar.Len
		for _, nd := range sy.Nodes {
			if nd.Measure != m || nd.Grace != 0 {
				continue
			}
			if nd.At <= at && nd.At >= t0 {
				x0, t0 = nd.X, nd.At
			}
			if nd.At > at && nd.At <= t1 {
				x1, t1 = nd.X, nd.At
			}
		}
		if !sp.First && t0 < 0 || !sp.Last && t1 == m.Bar.Len {
			continue // it stands in the line before or after
		}
		t0 = max(t0, 0)
		if t1 <= t0 {
			return x0, true
		}
		return x0 + (x1-x0)*min(1, float64(at-t0)/float64(t1-t0)), true
	}
	return 0, false
}

// BarLeft returns where what belongs to the beginning of a bar is aligned.
func (sy *System) BarLeft(sp Span) float64 {
	for _, b := range sy.Blocks {
		if b.Next == sp.Measure && b.Meter != nil && b.X+b.w <= sp.X0+1e-6 {
			return b.X + b.TimeX
		}
	}
	return sp.X0 + 0.6
}

// NotesHere lists the notes of the line, in order of time.
func (sy *System) NotesHere() []*score.Note {
	var out []*score.Note
	for _, nd := range sy.Nodes {
		out = append(out, nd.Notes...)
	}
	return out
}

// SetStems finds every stem and gives the line of every beam.
func (sy *System) SetStems() map[*score.Beam]score.Slope {
	lines := map[*score.Beam]score.Slope{}
	for _, n := range sy.NotesHere() {
		if !n.Stemmed() {
			continue
		}
		if n.Beam == nil {
			n.SetStem()
			continue
		}
		if _, ok := lines[n.Beam]; !ok {
			lines[n.Beam] = n.Beam.Set()
		}
	}
	return lines
}

// SpanOf returns the parts of a bar in this line.
func (sy *System) SpanOf(m *score.Measure) []Span {
	var out []Span
	for _, sp := range sy.Spans {
		if sp.Measure == m {
			out = append(out, sp)
		}
	}
	return out
}

// Has reports whether an instant stands in this line.
func (sy *System) Has(nd *score.Node) bool {
	return nd.Line == sy.Index
}

// System is one line of music with everything at its place across it.
type System struct {
	Score  *score.Score
	Index  int     // from 0
	Width  float64 // of the line
	Inked  float64 // where this line ends: less than width in a short last line
	Nodes  []*score.Node
	Blocks []PlacedBlock
	Spans  []Span
}

// PlacedBlock is a block at its place in the line.
type PlacedBlock struct {
	Block
	X    float64
	Prev *score.Measure // the bar it closes, or nil
	Next *score.Measure // the bar it opens, or nil
}

// Span is the part of a bar that lies in a system, between what stands before
// and after it.
type Span struct {
	Measure     *score.Measure
	X0, X1      float64
	First, Last bool // it holds the bar's beginning, its end
}

// lastFull is the share of the line above which the last line is filled out.
const lastFull = 0.72

// place finds where everything stands across a line of segments, for each score; next
// is what the next line begins with, nil in the last.
func (s *spacer) place(segs []*seg, next *seg, index int) []*System {
	var out []*System
	for _, sc := range s.all {
		out = append(out, &System{Score: sc, Index: index, Width: s.width})
	}
	fixed := 0.0
	start := s.startBlock(segs[0])
	fixed += start.w
	var mids []Block
	for i := 0; i+1 < len(segs); i++ {
		b := s.midBlock(segs[i], segs[i+1])
		mids = append(mids, b)
		fixed += b.w
	}
	end := s.endBlock(segs[len(segs)-1], next)
	fixed += end.w
	nat := fixed
	for _, g := range segs {
		nat += g.nat
	}
	target := s.width
	if next == nil && nat < s.width*lastFull {
		target = min(nat*1.06, s.width)
	}
	f, reached := force(segs, target-fixed)
	squeeze := 1.0
	if reached > target-fixed+1e-6 {
		// Only a single instant that is wider than the line comes here.
		squeeze = max(target-fixed, 1) / reached
	}

	for k, sy := range out {
		sy.Blocks = append(sy.Blocks, PlacedBlock{Block: start, X: 0, Next: s.all[k].Bars[segs[0].m.Index]})
	}
	x := start.w
	for i, g := range segs {
		from := x
		for j, slot := range g.slots {
			x += g.links[j].stretched(f) * squeeze
			for k, nd := range slot {
				if nd != nil {
					nd.X, nd.Line = x, index
					out[k].Nodes = append(out[k].Nodes, nd)
				}
			}
		}
		x += g.links[len(g.links)-1].stretched(f) * squeeze
		block := end
		if i < len(mids) {
			block = mids[i]
		}
		for k, sy := range out {
			m := s.all[k].Bars[g.m.Index]
			sy.Spans = append(sy.Spans, Span{Measure: m, X0: from, X1: x, First: g.first, Last: g.last})
			pb := PlacedBlock{Block: block, X: x, Prev: s.all[k].Last(m)}
			if i < len(mids) {
				pb.Next = s.all[k].Bars[segs[i+1].m.Index]
			}
			sy.Blocks = append(sy.Blocks, pb)
		}
		x += block.w
	}
	for _, sy := range out {
		sy.Inked = x
	}
	return out
}

// ContentLeft is where the notes of the line may begin.
func (sy *System) ContentLeft() float64 { return sy.Blocks[0].w }

// ContentRight is where the last bar of the line ends.
func (sy *System) ContentRight() float64 { return sy.Blocks[len(sy.Blocks)-1].X }

// StopsHere lists the strokes of the line in order.
func (sy *System) StopsHere() []*score.Stop {
	var out []*score.Stop
	for _, nd := range sy.Nodes {
		out = append(out, nd.Stops...)
	}
	return out
}
