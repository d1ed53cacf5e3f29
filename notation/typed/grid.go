package typed

import (
	"math"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// gridMaker makes a grid of bars that have been read and timed.
type gridMaker struct {
	*guesses
	rig  *rig.Rig
	head *heading
}

// fill makes the grid of the timed bars.
func (r *gridMaker) fill(bars []*looseBar, meter tune.Meter) *columns.Grid {
	g := &columns.Grid{Tune: r.head.tune(), Rig: r.rig, Near: tab.CentsAllowed / 100}
	var all [][]*looseToken
	var long [12]float64        // how long each tone sounds
	joined := map[[2]int]bool{} // clusters with nothing between them
	lastNote := -1
	for _, b := range bars {
		for _, e := range b.events {
			if e.cluster < 0 {
				lastNote = -1
				continue
			}
			c := b.clusters[e.cluster]
			for _, t := range c {
				t.cluster = len(all)
				long[int(math.Round(t.key(r.rig)))%12] += float64(e.len)
			}
			if lastNote >= 0 {
				joined[[2]int{lastNote, len(all)}] = true
			}
			lastNote = len(all)
			all = append(all, c)
		}
	}
	r.settleAttacks(all, func(a, b int) bool { return joined[[2]int{a, b}] })
	number, ending := 1, false
	for i, b := range bars {
		if i == 0 && b.len < meter.Len() && len(bars) > 1 {
			number = 0
		}
		if b.number >= 0 {
			number = b.number
		}
		out := tune.Bar{Number: number, Meter: meter, Len: b.len, Texts: b.texts, Part: b.part}
		number++
		if i == 0 && r.head.tempo != nil {
			out.Tempos = []tune.Tempo{*r.head.tempo}
		}
		if b.left {
			out.Left.Repeat = 1
		}
		if b.double {
			out.Right.Style = tune.DoubleBarline
		}
		if b.right > 0 {
			out.Right = tune.Barline{Repeat: b.right}
		}
		if b.ending > 0 {
			out.Endings = []int{b.ending}
		}
		ending = ending || b.ending > 0
		if ending && (b.right > 0 || b.double || i+1 == len(bars) || bars[i+1].ending > 0) {
			out.EndingEnds, ending = true, false
		}
		out.LineBreak = i+1 < len(bars) && bars[i+1].sys != b.sys
		r.chordsOf(b, &out)
		gb := columns.GridBar{Rhythm: [][]columns.RhythmEvent{nil}}
		out.Lines = [][]tune.Event{nil}
		for _, e := range b.events {
			r.put(b, e, &out, &gb)
		}
		g.Tune.Bars = append(g.Tune.Bars, out)
		g.Bars = append(g.Bars, gb)
	}
	key := r.head.key
	if key == nil {
		k := guessKey(g.Tune.Bars, long)
		key = &k
		r.guess(bars[0].first.TextLine, 0, "no key is named: taken as %s", k)
	}
	for i := range g.Tune.Bars {
		g.Tune.Bars[i].Key = *key
	}
	// A repeat sign at the end of the last ending adds nothing and is common.
	if n := len(g.Tune.Bars); g.Tune.Bars[n-1].Endings != nil && g.Tune.Bars[n-1].Endings[0] > 1 {
		g.Tune.Bars[n-1].Right.Repeat = 0
	}
	return g
}

// put adds an event to a bar, split into tied values where one does not hold
// its length.
func (r *gridMaker) put(b *looseBar, e looseEvent, out *tune.Bar, gb *columns.GridBar) {
	kind := tune.Sounding
	if e.cluster < 0 {
		kind = tune.Rest
	}
	values := []tune.Value{}
	if e.value != nil {
		values = append(values, *e.value)
	} else if e.cluster < 0 && e.len == b.len {
		values = append(values, tune.Value{BarRest: true})
	} else if v, ok := tune.Values(e.len); ok {
		values = v
	}
	place := columns.Place{Line: b.first.Number, Col: b.first.ByteAt(b.from) + 1}
	at := e.at
	for i, v := range values {
		ev := tune.Event{At: at, Kind: kind, Value: v, Len: v.Len()}
		if e.tuplet != nil {
			ev.Tuplets = []tune.Tuplet{*e.tuplet}
			ev.Len, _ = v.Scaled(ev.Tuplets)
		}
		if v.BarRest {
			ev.Len = e.len
		}
		col := columns.Column{At: at}
		if kind == tune.Sounding {
			for _, t := range b.clusters[e.cluster] {
				c := t.Cell
				if i > 0 {
					if c.Attack == tab.Harmonic {
						continue
					}
					c.Attack, c.Scooped, c.Start = tab.Tied, false, 0
				}
				c.Damp = c.Damp && i == len(values)-1
				col.Cells = append(col.Cells, columns.PlacedCell{Cell: c, Str: t.str, Place: toPlace(t)})
			}
			if len(col.Cells) == 0 {
				ev.Kind = tune.Rest // a harmonic is not held across a tie: it rings on
			} else {
				r.handOf(b, e.cluster, i, &col)
				gb.Columns = append(gb.Columns, col)
			}
		}
		out.Lines[0] = append(out.Lines[0], ev)
		gb.Rhythm[0] = append(gb.Rhythm[0], columns.RhythmEvent{Place: place})
		at += ev.Len
	}
}

func toPlace(t *looseToken) columns.Place {
	return columns.Place{Line: t.line.Number, Col: t.line.ByteAt(t.col) + 1}
}

// handOf gives a column the fingers that stand under its numbers.
func (r *gridMaker) handOf(b *looseBar, cluster, part int, col *columns.Column) {
	if len(b.hands) != len(b.clusters) {
		if len(b.hands) > 0 && cluster == 0 && part == 0 {
			r.guess(b.handOn, b.hands[0].Col, "%d fingers under %d numbers in this bar: passed over", len(b.hands), len(b.clusters))
		}
		return
	}
	sp := b.hands[cluster]
	if len(sp.Text) != len(col.Cells) {
		if part == 0 {
			r.guess(b.handOn, sp.Col, "%d fingers under %d numbers: passed over", len(sp.Text), len(col.Cells))
		}
		return
	}
	for _, c := range sp.Text {
		f := tab.Finger(strings.IndexRune("-TIM", c))
		if part > 0 {
			f = tab.NoFinger
		}
		col.Hand = append(col.Hand, f)
	}
}

// chordsOf places the chord symbols of a bar: with the number that stands
// under them, else at the nearest beat.
func (r *gridMaker) chordsOf(b *looseBar, out *tune.Bar) {
	for _, sp := range b.chords {
		if sp.Text == "/" || sp.Text == "%" {
			continue
		}
		at, nearest := tune.Ticks(-1), 3
		for i := range b.clusters {
			d := b.spanCol(i) - sp.Col
			if d = max(d, -d); d < nearest {
				at, nearest = b.times[i], d
			}
		}
		if at < 0 {
			beat := out.Meter.Beat()
			beats := max(b.len/beat, 1)
			share := float64(sp.Col-b.from) / math.Max(float64(b.to-b.from), 1)
			at = beat * tune.Ticks(math.Round(math.Max(share, 0)*float64(beats)))
			at = min(at, beat*(beats-1))
		}
		if n := len(out.Chords); n > 0 && out.Chords[n-1].At >= at {
			r.guess(b.first.TextLine, sp.Col, "the chord %q falls together with the one before: passed over", fault.Clip(sp.Text))
			continue
		}
		text := sp.Text
		if text == "NC" {
			text = "N.C."
		}
		out.Chords = append(out.Chords, tune.ChordAt{At: at, Text: text, Chord: columns.ReadChord(text)})
	}
}

// settleAttacks gives every number its attack, now that it is known what stands
// before what.
func (r *gridMaker) settleAttacks(clusters [][]*looseToken, follows func(a, b int) bool) {
	fromTop := func(t *looseToken) int {
		n := 0
		for _, o := range clusters[t.cluster] {
			if o.key(r.rig) > t.key(r.rig) {
				n++
			}
		}
		return n
	}
	for _, c := range clusters {
		for _, t := range c {
			b := t.before
			next := b != nil && follows(b.cluster, t.cluster)
			switch {
			case t.paren && t.slide == 0 && t.Attack == tab.Picked:
				if next && b.Fret == t.Fret && strings.Join(b.Benders, "") == strings.Join(t.Benders, "") {
					t.Attack = tab.Tied
					r.guess(t.line, t.col, "the %s in brackets is taken as held on", columns.Number(t.Fret, true))
				} else {
					r.guess(t.line, t.col, "the %s in brackets is taken as played", columns.Number(t.Fret, true))
				}
			case t.slide == 0 || t.Attack != tab.Picked:
			case t.slide == 'h' || t.slide == 'p':
				switch {
				case b == nil:
					r.guess(t.line, t.slideAt, "%q with no number before it: read as plucked", t.slide)
				case t.slide == 'h':
					t.Attack = tab.Hammered
				default:
					t.Attack = tab.PulledOff
				}
			case next && fromTop(b) == fromTop(t) && b.Attack != tab.Harmonic:
				t.Attack = tab.Glided
				if t.slide == '/' && t.Fret < b.Fret || t.slide == '\\' && t.Fret > b.Fret {
					r.guess(t.line, t.slideAt, "the slide from %s to %s goes the other way than %q", columns.Number(b.Fret, true), columns.Number(t.Fret, true), t.slide)
				}
			default:
				r.scoop(t)
			}
		}
	}
}

// scoop reads a slide into a number from no number right before it.
func (r *gridMaker) scoop(t *looseToken) {
	from := t.Fret - 1
	if t.slide == '\\' {
		from = t.Fret + 1
	}
	if from < 0 || from > float64(r.rig.Frets) || t.Fret == 0 {
		r.guess(t.line, t.slideAt, "%q into %s has nowhere to begin: read as plucked", t.slide, columns.Number(t.Fret, true))
		return
	}
	t.Scooped, t.Start = true, from
	r.guess(t.line, t.slideAt, "the slide into %s is taken to begin one fret away", columns.Number(t.Fret, true))
}
