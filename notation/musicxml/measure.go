package musicxml

import (
	"math"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/tune"
)

// partReader reads the measures of one part.
type partReader struct {
	r     *reader
	place int // of the part, from 1
	out   *Part
	bars  []rawBar

	divisions pitch.Fraction // a quarter note
	key       pitch.Key
	meter     tune.Meter
	transpose pitch.Interval
	carried   []pendingGrace // graces at the end of a measure
	voices    map[string]int
	staffs    map[int]*staffInfo
	verses    map[string]int
	beamed    bool       // the part has beams of its own
	length    tune.Ticks // of all bars so far
	swing     tune.Swing
	swung     bool // swing was told
}

// staffInfo is what is known of one staff.
type staffInfo struct {
	tab       bool // has a TAB clef
	alternate bool // shows the same music as another staff
	tuning    map[int]pitch.Name
	lines     int
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
	return &partReader{r: r, out: &Part{ID: id}, divisions: pitch.Fraction{Num: 1, Den: 1}, voices: map[string]int{}, staffs: map[int]*staffInfo{}, verses: map[string]int{}}
}

func (p *partReader) staff(n int) *staffInfo {
	if p.staffs[n] == nil {
		p.staffs[n] = &staffInfo{}
	}
	return p.staffs[n]
}

// cursor is the place in a measure.
type cursor struct {
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

func (p *partReader) measure(m *node) error {
	b := rawBar{line: m.line, col: m.col}
	b.Key, b.Meter = p.key, p.meter
	b.Number = p.number(m)
	c := &cursor{graces: p.carried}
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
			err = p.attributes(&b, c, k)
		case "note":
			err = p.note(&b, c, k)
		case "backup", "forward":
			var d tune.Ticks
			d, err = p.duration(k)
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
			err = p.direction(&b, c, k)
		case "sound":
			err = p.sound(&b, c.at, k, "")
		case "harmony":
			err = p.harmony(&b, c, k)
		case "barline":
			p.barline(&b, c, k)
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
	parts := p.split(b, c.lines)
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

// duration reads the duration child of an element in ticks.
func (p *partReader) duration(n *node) (tune.Ticks, error) {
	d := n.kid("duration")
	if d == nil {
		return 0, p.r.fail(n.line, n.col, "a %s has no duration", n.name)
	}
	return p.ticks(d)
}

// ticks reads a number of divisions.
func (p *partReader) ticks(d *node) (tune.Ticks, error) {
	f, ok := parseDecimal(d.text)
	if !ok || f.Num < 0 {
		return 0, p.r.fail(d.line, d.col, "%q is no duration", fault.Clip(d.text))
	}
	num, den := f.Num, f.Den
	// duration / divisions quarters.
	g := pitch.GCD(max(num, 1), p.divisions.Num)
	num /= g
	den *= p.divisions.Num / g
	h := pitch.GCD(p.divisions.Den, den)
	num *= p.divisions.Den / h
	den = den / h * 4
	if t, ok := tune.Of(num, den); ok {
		return t, nil
	}
	return 0, p.r.fail(d.line, d.col, "a duration of %s with %s divisions a quarter note is no length that can be kept exactly", fault.Clip(d.text), terms.FormatNumber(p.divisions.Float()))
}

// parseDecimal reads a decimal number of at most nine digits before and six
// after the point.
func parseDecimal(s string) (pitch.Fraction, bool) {
	s = strings.TrimSpace(s)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(strings.TrimPrefix(s, "-"), "+")
	whole, frac, _ := strings.Cut(s, ".")
	if len(whole)+len(frac) == 0 || len(whole) > 9 || len(frac) > 6 {
		return pitch.Fraction{}, false
	}
	num, den := int64(0), int64(1)
	for i, part := range []string{whole, frac} {
		for _, c := range part {
			if c < '0' || c > '9' {
				return pitch.Fraction{}, false
			}
			num = num*10 + int64(c-'0')
			if i == 1 {
				den *= 10
			}
		}
	}
	if neg {
		num = -num
	}
	return pitch.NewFraction(num, den), true
}

// offset reads the offset child of a direction or harmony.
func (p *partReader) offset(n *node) (tune.Ticks, error) {
	d := n.kid("offset")
	if d == nil {
		return 0, nil
	}
	text := strings.TrimSpace(d.text)
	if strings.HasPrefix(text, "-") {
		t, err := p.ticks(&node{text: text[1:], line: d.line, col: d.col})
		return -t, err
	}
	return p.ticks(d)
}

func (p *partReader) attributes(b *rawBar, c *cursor, n *node) error {
	for _, k := range n.kids {
		// Keys are kept as they sound, so the transposition is wanted first.
		if k.name == "transpose" && staffNumber(k.attr("number")) == 1 {
			p.readTranspose(k)
			if c.end == 0 {
				b.Key = p.key
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
			p.divisions = f
		case "key":
			if s := k.attr("number"); s != "" && s != "1" {
				if key, ok := p.readKey(k); ok && key.Signature != p.key.Signature {
					p.r.leave(k, "a key signature of its own for another staff")
				}
				continue
			}
			if key, ok := p.readKey(k); ok {
				p.key = key
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
			if m, ok := p.readTime(k); ok {
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
				p.staff(number).tab = true
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

func staffNumber(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > 100 {
		return 1
	}
	return n
}

// readKey reads a key signature as it sounds.
func (p *partReader) readKey(k *node) (pitch.Key, bool) {
	var key pitch.Key
	if f := k.kid("fifths"); f != nil {
		n, err := strconv.Atoi(strings.TrimSpace(f.text))
		mode, known := modeOf(k.value("mode"))
		if !known {
			p.r.warn(k.line, k.col, "the mode %q is not known and major is taken", fault.Clip(k.value("mode")))
		}
		if err == nil && n >= -15 && n <= 15 {
			if made, err := pitch.NewKey(pitch.ClassAtFifths(n+int(mode)), mode); err == nil && made.Fifths() == n {
				return made.Up(p.transpose), true
			}
		}
		p.r.warn(f.line, f.col, "a signature of %q accidentals is not kept, seven is the most there are", fault.Clip(f.text))
		return key, false
	}
	letters, alters := k.kids, 0
	for i := 0; i+1 < len(letters); i++ {
		if letters[i].name != "key-step" || letters[i+1].name != "key-alter" {
			continue
		}
		l, ok := letterOf(letters[i].text)
		f, ok2 := parseDecimal(letters[i+1].text)
		if !ok || !ok2 || f.Den != 1 || f.Num < -2 || f.Num > 2 {
			p.r.warn(letters[i].line, letters[i].col, "%q altered by %q has no place in a key signature and is left out", fault.Clip(letters[i].text), fault.Clip(letters[i+1].text))
			continue
		}
		key.Signature[l] = int8(f.Num)
		alters++
	}
	if alters == 0 {
		return key, k.kid("key-step") == nil && len(k.kids) == 0
	}
	key.Own = true
	if k.kid("key-octave") != nil {
		p.r.leave(k.kid("key-octave"), "octaves of a key signature")
	}
	return key.Up(p.transpose), true
}

func modeOf(s string) (pitch.Mode, bool) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "", "major", "ionian", "none":
		return pitch.Major, true
	case "minor", "aeolian":
		return pitch.Minor, true
	}
	for m := pitch.Lydian; m <= pitch.Locrian; m++ {
		if m.String() == strings.ToLower(strings.TrimSpace(s)) {
			return m, true
		}
	}
	return pitch.Major, false
}

func letterOf(s string) (pitch.Letter, bool) {
	i := strings.Index("CDEFGAB", strings.TrimSpace(s))
	return pitch.Letter(i), i >= 0 && len(strings.TrimSpace(s)) == 1
}

// readTime reads a time signature; several added together become one in the
// smallest of their units.
func (p *partReader) readTime(k *node) (tune.Meter, bool) {
	if k.kid("senza-misura") != nil {
		return tune.Meter{}, true
	}
	type pair struct {
		groups []int
		unit   int
	}
	var pairs []pair
	unit := 1
	beats := ""
	for _, x := range k.kids {
		switch x.name {
		case "beats":
			beats = x.text
		case "beat-type":
			var q pair
			for _, s := range strings.Split(beats, "+") {
				n, err := strconv.Atoi(strings.TrimSpace(s))
				if err != nil || n < 1 || n > tune.MaxBeats {
					p.r.warn(x.line, x.col, "the meter %q over %q is not kept", fault.Clip(beats), fault.Clip(x.text))
					return tune.Meter{}, false
				}
				q.groups = append(q.groups, n)
			}
			n, err := strconv.Atoi(strings.TrimSpace(x.text))
			if err != nil || n < 1 || n > tune.MaxUnit || n&(n-1) != 0 {
				p.r.warn(x.line, x.col, "the meter %q over %q is not kept", fault.Clip(beats), fault.Clip(x.text))
				return tune.Meter{}, false
			}
			q.unit = n
			unit = max(unit, n)
			pairs = append(pairs, q)
		case "interchangeable":
			p.r.leave(x, "a second meter to read the bars in (interchangeable)")
		}
	}
	m := tune.Meter{Unit: unit}
	for _, q := range pairs {
		for _, g := range q.groups {
			m.Groups = append(m.Groups, g*unit/q.unit)
			m.Beats += g * unit / q.unit
		}
	}
	if len(m.Groups) < 2 {
		m.Groups = nil
	}
	if m.Beats < 1 || m.Beats > tune.MaxBeats {
		p.r.warn(k.line, k.col, "the meter has %d beats and is not kept", m.Beats)
		return tune.Meter{}, false
	}
	switch {
	case k.attr("symbol") == "common" && m.Beats == 4 && unit == 4:
		m.Symbol = "C"
	case k.attr("symbol") == "cut" && m.Beats == 2 && unit == 2:
		m.Symbol = "C|"
	}
	return m, true
}

func (p *partReader) readTranspose(k *node) {
	chromatic, ok := parseDecimal(k.value("chromatic"))
	if !ok {
		p.r.warn(k.line, k.col, "a transposition by %q is not kept", fault.Clip(k.value("chromatic")))
		return
	}
	semitones := int(math.Round(chromatic.Float()))
	steps, err := strconv.Atoi(strings.TrimSpace(k.value("diatonic")))
	if err != nil {
		steps = int(math.Round(float64(semitones) * 7 / 12))
	}
	octaves, _ := strconv.Atoi(strings.TrimSpace(k.value("octave-change")))
	if semitones < -60 || semitones > 60 || steps < -35 || steps > 35 || octaves < -5 || octaves > 5 {
		p.r.warn(k.line, k.col, "a transposition by %s and %s is not kept", say.Count(semitones, "semitone"), say.Count(octaves, "octave"))
		return
	}
	if k.kid("double") != nil {
		p.r.leave(k.kid("double"), "doubling at the octave")
	}
	was := p.transpose
	p.transpose = pitch.Interval{Steps: steps + 7*octaves, Semitones: semitones + 12*octaves}
	// The key that stands was read as written under the old transposition.
	p.key = p.key.Up(pitch.Interval{Steps: p.transpose.Steps - was.Steps, Semitones: p.transpose.Semitones - was.Semitones})
}

func (p *partReader) staffDetails(k *node) {
	s := p.staff(staffNumber(k.attr("number")))
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
			name, err2 := p.pitchOf(t, "tuning-step", "tuning-alter", "tuning-octave")
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

// pitchOf reads step, alteration and octave as written; a text says what is
// wrong. Alterations that are no whole number are rounded.
func (p *partReader) pitchOf(n *node, step, alter, octave string) (pitch.Name, string) {
	l, ok := letterOf(n.value(step))
	if !ok {
		return pitch.Name{}, "the step \"" + fault.Clip(n.value(step)) + "\" is no note"
	}
	oct, err := strconv.Atoi(strings.TrimSpace(n.value(octave)))
	if err != nil || oct < -1 || oct > 10 {
		return pitch.Name{}, "the octave \"" + fault.Clip(n.value(octave)) + "\" is none"
	}
	a := 0
	if k := n.kid(alter); k != nil && k.text != "" {
		f, ok := parseDecimal(k.text)
		if !ok || f.Num < -12*f.Den || f.Num > 12*f.Den {
			return pitch.Name{}, "the alteration \"" + fault.Clip(k.text) + "\" is none"
		}
		a = int(math.Round(f.Float()))
		if f.Den != 1 {
			p.r.leave(k, "the part of an alteration that is smaller than a semitone")
		}
	}
	if a < -2 || a > 2 {
		p.r.leave(n.kid(alter), "the spelling of notes with more than two sharps or flats")
		return pitch.SpellKey(pitch.Note(l, 0, oct).Key()+a, p.key.Fifths()), ""
	}
	return pitch.Note(l, a, oct), ""
}
