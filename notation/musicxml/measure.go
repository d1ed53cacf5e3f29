package musicxml

import (
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// partReader reads the measures of one part.
type partReader struct {
	r       *reader
	place   int // of the part, from 1
	out     *Part
	bars    []rawBar
	meter   tune.Meter
	carried []pendingGrace // graces at the end of a measure
	length  tune.Ticks     // of all bars so far
	staffs  staffs

	clock      clock
	concert    concertPitch
	notes      noteReader
	directions directionReader
}

// measure is the measure in hand, and the place in it.
type measure struct {
	r *reader
	rawBar
	at, end tune.Ticks
	last    *rawEvent // the event that a chord note joins
	grace   *pendingGrace
	graces  []pendingGrace
	lines   []midLine
	wedges  []openWedge
}

// openWedge is a crescendo's wedge whose end has not come.
type openWedge struct {
	number string
	at     tune.Ticks
	k      *node
}

// rawBar is one measure before its events are shared out.
type rawBar struct {
	tune.Bar
	events    []*rawEvent // in document order
	line, col int
}

// rawEvent is one note, chord or rest.
type rawEvent struct {
	tune.Event
	voice          string
	staff          int
	hasValue       bool
	actual, normal int // time modification, 1:1 for none
	tuplets        []tupletMark
	slurs          []slurMark
	beam           string // of the first level
	fingers        []*Finger
	line, col      int
	measureRest    bool
	arpeggio       bool
	fermata        bool
}

type tupletMark struct {
	number         string
	starts         bool
	actual, normal int // 0 when not said
}

type slurMark struct {
	number string
	starts bool
}

// pendingGrace is a grace waiting for its event.
type pendingGrace struct {
	voice   string
	staff   int
	grace   tune.Grace
	fingers []*Finger
	late    bool // from an earlier measure
	line    int
	col     int
}

func newPartReader(r *reader, id string) *partReader {
	p := &partReader{r: r, out: &Part{ID: id}, staffs: staffs{}, concert: concertPitch{r: r}}
	p.clock = clock{r: r, divisions: pitch.Fraction{Num: 1, Den: 1}}
	p.notes = noteReader{r: r, clock: &p.clock, concert: &p.concert, staffs: p.staffs, verses: verses{}}
	p.directions = directionReader{r: r, clock: &p.clock, concert: &p.concert}
	return p
}

func (p *partReader) measure(m *node) error {
	c := &measure{r: p.r, rawBar: rawBar{line: m.line, col: m.col}, graces: p.carried}
	b := &c.rawBar
	b.Key, b.Meter = p.concert.key, p.meter
	b.Number = p.number(m)
	p.carried = nil
	// What holds for the bar as a whole may stand anywhere in it.
	for _, k := range m.kids {
		var err error
		if k.name == "direction" || k.name == "harmony" || k.name == "sound" {
			if p.r.marks++; p.r.marks > terms.MaxMarks {
				return p.r.fail(k.line, k.col, "the score has more than %d directions and chord symbols", terms.MaxMarks)
			}
		}
		switch k.name {
		case "attributes":
			err = p.attributes(c, k)
		case "note":
			err = p.notes.note(c, k)
		case "backup", "forward":
			var d tune.Ticks
			d, err = p.clock.duration(k)
			if k.name == "backup" {
				d = -d
			}
			if c.at+d < 0 {
				p.r.warn(k.line, k.col, "a backup goes back past the start of the measure, and is taken to go to it")
				d = -c.at
			}
			c.at += d
			c.end = max(c.end, c.at)
			c.last, c.grace = nil, nil
		case "direction":
			err = p.directions.direction(c, k)
		case "sound":
			err = p.directions.sound(b, c.at, k, "")
		case "harmony":
			err = p.directions.harmony(c, k)
		case "barline":
			c.barline(k)
		case "print":
			if (k.attr("new-system") == "yes" || k.attr("new-page") == "yes") && len(p.bars) > 0 {
				p.bars[len(p.bars)-1].LineBreak = true
			}
		case "figured-bass":
			p.r.leave(k, "figured bass")
		default:
			p.r.leave(k, "the element %q", fault.Clip(k.name))
		}
		if err != nil {
			return err
		}
	}
	p.carried = c.graces
	for i := range p.carried {
		p.carried[i].late = true
	}
	b.Len = c.end
	if b.Len == 0 {
		if b.Len = b.Meter.Len(); b.Len == 0 {
			b.Len = tune.Whole
		}
	}
	if p.length += b.Len; p.length > tune.MaxWholes*tune.Whole/4 {
		return p.r.fail(m.line, m.col, "the part is longer than %d whole notes", tune.MaxWholes/4)
	}
	parts := split(p.r, *b, c.lines)
	if p.r.measures += len(parts) - 1; p.r.measures > terms.MaxMeasures {
		return p.r.fail(m.line, m.col, "the score has more than %d measures", terms.MaxMeasures)
	}
	p.bars = append(p.bars, parts...)
	return nil
}

// number returns the number a person reads: the measure's own when it is one, 0
// for a pickup, else one more than the last.
func (p *partReader) number(m *node) int {
	last := 0
	if n := len(p.bars); n > 0 {
		last = p.bars[n-1].Number
	}
	text := m.attr("number")
	n, err := strconv.Atoi(text)
	switch {
	case err == nil && n >= 0 && n < 1_000_000 && (m.attr("implicit") != "yes" || n == 0):
		return n
	case m.attr("implicit") == "yes" && len(p.bars) == 0:
		return 0
	case m.attr("implicit") == "yes":
		return last
	}
	return last + 1
}

func (p *partReader) attributes(c *measure, n *node) error {
	b := &c.rawBar
	for _, k := range n.kids {
		// Keys are kept as they sound, so the transposition is wanted first.
		if k.name == "transpose" && staffNumber(k.attr("number")) == 1 {
			p.concert.readTranspose(k)
			if c.end == 0 {
				b.Key = p.concert.key
			}
		}
	}
	for _, k := range n.kids {
		switch k.name {
		case "divisions":
			f, ok := parseDecimal(k.text)
			if !ok || f.Num <= 0 {
				return p.r.fail(k.line, k.col, "%q divisions a quarter note make no sense", fault.Clip(k.text))
			}
			p.clock.divisions = f
		case "key":
			if s := k.attr("number"); s != "" && s != "1" {
				if key, ok := p.concert.readKey(k); ok && key.Signature != p.concert.key.Signature {
					p.r.leave(k, "a key signature of its own for another staff")
				}
				continue
			}
			if key, ok := p.concert.readKey(k); ok {
				p.concert.key = key
				if c.end == 0 {
					b.Key = key
				} else {
					p.r.warn(k.line, k.col, "the key changes inside a bar; the new signature stands from the next bar on")
				}
			}
		case "time":
			if s := k.attr("number"); s != "" && s != "1" {
				continue
			}
			if m, ok := p.clock.readTime(k); ok {
				p.meter = m
				if c.end == 0 {
					b.Meter = m
				} else {
					p.r.warn(k.line, k.col, "the meter changes inside a bar; the new one stands from the next bar on")
				}
			}
		case "clef":
			number := staffNumber(k.attr("number"))
			if k.value("sign") == "TAB" {
				p.staffs.at(number).tab = true
			}
		case "staff-details":
			p.staffDetails(k)
		case "transpose":
			if staffNumber(k.attr("number")) != 1 {
				p.r.leave(k, "a transposition of its own for another staff")
			}
		case "measure-style":
			for _, s := range k.kids {
				if s.name != "multiple-rest" {
					p.r.leave(s, "the measure style %q", fault.Clip(s.name))
				}
			}
		case "for-part":
			p.r.leave(k, "other transpositions for parts (for-part)")
		case "staves", "instruments", "part-symbol", "directive", "footnote", "level":
			// How many staves and what brackets is for drawing.
		default:
			p.r.leave(k, "the attribute %q", fault.Clip(k.name))
		}
	}
	return nil
}

func (p *partReader) staffDetails(k *node) {
	s := p.staffs.at(staffNumber(k.attr("number")))
	if k.value("staff-type") == "alternate" {
		s.alternate = true
	}
	if n, err := strconv.Atoi(strings.TrimSpace(k.value("staff-lines"))); err == nil {
		s.lines = n
	}
	for _, t := range k.kids {
		switch t.name {
		case "staff-tuning":
			line, err := strconv.Atoi(t.attr("line"))
			name, err2 := p.concert.pitchOf(t, "tuning-step", "tuning-alter", "tuning-octave")
			if err != nil || err2 != "" || line < 1 || line > 24 {
				p.r.warn(t.line, t.col, "the tuning of line %q is not kept", fault.Clip(t.attr("line")))
				continue
			}
			if s.tuning == nil {
				s.tuning = map[int]pitch.Name{}
			}
			s.tuning[line] = name
		case "capo":
			if n, err := strconv.Atoi(strings.TrimSpace(t.text)); err == nil && n >= 0 && n <= 24 {
				p.out.Capo = n
			}
		}
	}
}
