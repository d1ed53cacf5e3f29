package musicxml

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// direction reads words, tempos and navigation marks.
func (p *partReader) direction(b *rawBar, c *cursor, n *node) error {
	off, err := p.offset(n)
	if err != nil {
		return err
	}
	at := max(c.at+off, 0)
	below := n.attr("placement") == "below"
	var words []string
	var tempo *tune.Tempo
	segno, coda := false, false
	for _, dt := range n.kids {
		if dt.name != "direction-type" {
			continue
		}
		for _, k := range dt.kids {
			switch k.name {
			case "words":
				if k.text != "" {
					words = append(words, strings.Join(strings.Fields(k.text), " "))
				}
			case "rehearsal":
				switch text := strings.TrimSpace(k.text); {
				case text == "":
				case at == 0 && b.Part == "":
					b.Part = text
				default:
					b.Texts = append(b.Texts, tune.TextAt{At: at, Text: text})
				}
			case "segno":
				segno = true
			case "coda":
				coda = true
			case "metronome":
				if t, ok := p.metronome(k, at); ok {
					tempo = &t
				}
			case "wedge":
				c.wedge(p, b, n, k, at)
			default:
				p.r.leave(k, "the direction %q", fault.Clip(k.name))
			}
		}
	}
	text := strings.Join(words, " ")
	s := n.kid("sound")
	used, err := p.sounds(b, at, s, text, tempo != nil, segno, coda)
	if err != nil {
		return err
	}
	switch {
	case tempo != nil:
		tempo.Text = text
		b.Tempos = append(b.Tempos, *tempo)
	case text != "" && !used && n.attr("directive") == "yes":
		b.Tempos = append(b.Tempos, tune.Tempo{At: at, Text: text})
	case text != "" && !used:
		b.Texts = append(b.Texts, tune.TextAt{At: at, Text: text, Below: below})
	}
	return nil
}

// wedge reads a wedge. One that opens with a note and ends with it is a swell; others
// are left out.
func (c *cursor) wedge(p *partReader, b *rawBar, n, k *node, at tune.Ticks) {
	number := k.attr("number")
	switch k.attr("type") {
	case "crescendo":
		c.wedges = append(c.wedges, openWedge{number, at, k})
		return
	case "continue":
		return
	case "stop":
		i := slices.IndexFunc(c.wedges, func(w openWedge) bool { return w.number == number })
		if i < 0 {
			return // of a wedge that was left out
		}
		w := c.wedges[i]
		c.wedges = slices.Delete(c.wedges, i, i+1)
		voice := strings.TrimSpace(n.value("voice"))
		for _, e := range b.events {
			if e.Kind == tune.Sounding && e.At == w.at && e.At+e.Len == at && (voice == "" || voice == e.voice) && !slices.Contains(e.Marks, tune.Swell) {
				e.Marks = append(e.Marks, tune.Swell)
				return
			}
		}
		p.r.leave(w.k, "the direction %q", w.k.name)
		return
	}
	p.r.leave(k, "the direction %q", k.name)
}

// sound reads a sound element that stands alone.
func (p *partReader) sound(b *rawBar, at tune.Ticks, n *node, text string) error {
	off, err := p.offset(n)
	if err != nil {
		return err
	}
	_, err = p.sounds(b, max(at+off, 0), n, text, false, false, false)
	return err
}

// sounds reads what a sound element makes happen; used says that the words that
// stand with it belong to that.
func (p *partReader) sounds(b *rawBar, at tune.Ticks, s *node, text string, hasTempo, segno, coda bool) (used bool, err error) {
	get := func(name string) string {
		if s == nil {
			return ""
		}
		return s.attr(name)
	}
	sign := func(k tune.SignKind) {
		t := text
		if t == terms.SignElements[k].Words {
			t = ""
		}
		used = true
		b.Signs = append(b.Signs, tune.Sign{At: at, Kind: k, Text: t})
	}
	lower := strings.ToLower(text)
	al := func(plain, fine, coda tune.SignKind) {
		switch {
		case strings.Contains(lower, "fine"):
			sign(fine)
		case strings.Contains(lower, "coda"):
			sign(coda)
		default:
			sign(plain)
		}
	}
	if segno || get("segno") != "" {
		b.Signs = append(b.Signs, tune.Sign{At: at, Kind: tune.Segno})
	}
	if get("tocoda") != "" {
		sign(tune.ToCoda)
	} else if coda || get("coda") != "" {
		b.Signs = append(b.Signs, tune.Sign{At: at, Kind: tune.Coda})
	}
	switch {
	case get("dacapo") == "yes":
		al(tune.DaCapo, tune.DaCapoAlFine, tune.DaCapoAlCoda)
	case get("dalsegno") != "":
		al(tune.DalSegno, tune.DalSegnoAlFine, tune.DalSegnoAlCoda)
	case get("fine") != "" && get("fine") != "no":
		sign(tune.Fine)
	}
	if v := get("tempo"); v != "" && !hasTempo {
		f, ok := parseDecimal(v)
		per := int64(0)
		if ok {
			per = (f.Num*1000 + f.Den/2) / f.Den
		}
		if per < 1 || per > tune.MaxPerMinute {
			p.r.warn(s.line, s.col, "a tempo of %q is left out", fault.Clip(v))
		} else {
			b.Tempos = append(b.Tempos, tune.Tempo{At: at, Beat: tune.Whole / 4, PerMinute: per, Text: text})
			used = true
		}
	}
	if s != nil {
		if k := s.kid("swing"); k != nil {
			readSwing(p, k)
		}
	}
	if get("forward-repeat") == "yes" {
		b.Left.Repeat = 1
	}
	return used, nil
}

// readSwing reads how eighths are parted. A tune has one swing: the first that is told.
func readSwing(p *partReader, k *node) {
	var s tune.Swing
	told := "straight"
	switch {
	case k.value("swing-style") == tune.TempoSwing.String():
		s = tune.TempoSwing
	case k.kid("straight") == nil:
		told = fmt.Sprintf("%s to %s", k.value("first"), k.value("second"))
		if kind := k.value("swing-type"); kind != "" && kind != "eighth" {
			p.r.warn(k.line, k.col, "a swing of %q notes is left out: eighths are swung here, or nothing", fault.Clip(kind))
			return
		}
		long, err := strconv.Atoi(k.value("first"))
		short, err2 := strconv.Atoi(k.value("second"))
		if d := int(pitch.GCD(int64(long), int64(short))); err == nil && err2 == nil && d > 0 {
			s = tune.Swing{Long: long / d, Short: short / d}
		}
		if s.Long == s.Short && s.Long == 1 {
			s = tune.Swing{}
		} else if s.Even() || !s.Known() {
			p.r.warn(k.line, k.col, "a swing of %q is left out", fault.Clip(told))
			return
		}
	}
	if p.swung && s != p.swing {
		p.r.warn(k.line, k.col, "a change of swing, %q, is left out: a tune has one", fault.Clip(told))
		return
	}
	p.swing, p.swung = s, true
}

// metronome reads a mark such as "quarter = 100".
func (p *partReader) metronome(k *node, at tune.Ticks) (tune.Tempo, bool) {
	var v tune.Value
	units, found := 0, false
	for _, x := range k.kids {
		switch x.name {
		case "beat-unit":
			units++
			if i := slices.Index(terms.TypeNames[:], strings.TrimSpace(x.text)); i >= 0 && units == 1 {
				v.Log2, found = int8(i+terms.FirstTypeLog2), true
			}
		case "beat-unit-dot":
			if units == 1 {
				v.Dots++
			}
		}
	}
	// "c. 92" and "92-96" are about 92.
	text := k.value("per-minute")
	i := strings.IndexAny(text, "0123456789")
	if i < 0 || units != 1 || !found || v.Dots > tune.MaxDots {
		p.r.leave(k, "a tempo that is no number of beats a minute")
		return tune.Tempo{}, false
	}
	j := i
	for j < len(text) && strings.IndexByte("0123456789.", text[j]) >= 0 {
		j++
	}
	f, ok := parseDecimal(strings.TrimRight(text[i:j], "."))
	if !ok {
		p.r.leave(k, "a tempo that is no number of beats a minute")
		return tune.Tempo{}, false
	}
	per := (f.Num*1000 + f.Den/2) / f.Den
	if per < 1 || per > tune.MaxPerMinute {
		p.r.warn(k.line, k.col, "a tempo of %q is left out", fault.Clip(text))
		return tune.Tempo{}, false
	}
	return tune.Tempo{At: at, Beat: v.Len(), PerMinute: per}, true
}

// harmony reads chord symbols; several in one element follow each other at
// the same place and only the first is kept.
func (p *partReader) harmony(b *rawBar, c *cursor, n *node) error {
	off, err := p.offset(n)
	if err != nil {
		return err
	}
	at := max(c.at+off, 0)
	root, kind := n.kid("root"), n.kid("kind")
	if root == nil || kind == nil {
		p.r.leave(n, "chord symbols without a root (numerals, functions)")
		return nil
	}
	if f := n.kid("frame"); f != nil {
		p.r.leave(f, "pictures of chord shapes (frame)")
	}
	text := kind.attr("text")
	if strings.TrimSpace(kind.text) == "none" {
		if strings.TrimSpace(text) == "" {
			text = "N.C."
		}
		b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: text})
		return nil
	}
	class, ok := p.classOf(root, "root-step", "root-alter")
	if !ok {
		p.r.warn(root.line, root.col, "a chord symbol has no root that is a note, and is left out")
		return nil
	}
	bass := class
	hasBass := false
	var degrees []terms.Degree
	roots := 0
	for _, k := range n.kids {
		switch k.name {
		case "root":
			if roots++; roots > 1 {
				p.r.leave(k, "chord symbols over others (polychords)")
			}
		case "bass":
			if bc, ok := p.classOf(k, "bass-step", "bass-alter"); ok && roots < 2 {
				bass, hasBass = bc, bc != class
			}
		case "degree":
			d := terms.Degree{Kind: strings.TrimSpace(k.value("degree-type"))}
			d.Value, _ = strconv.Atoi(strings.TrimSpace(k.value("degree-value")))
			f, _ := parseDecimal(k.value("degree-alter"))
			d.Alter = int(f.Num)
			degrees = append(degrees, d)
		}
	}
	slash := ""
	if hasBass {
		slash = "/" + bass.String()
	}
	// The meaning of the kind comes first; its text says which of several ways
	// to write it was meant.
	suffix, known := terms.SuffixOf(strings.TrimSpace(kind.text), degrees)
	var meant *pitch.Chord
	if known {
		if ch, err := pitch.ParseChord(class.String() + suffix + slash); err == nil {
			meant = &ch
		}
	}
	if text != "" {
		if ch, err := pitch.ParseChord(class.String() + text + slash); err == nil && (meant == nil || sameTones(&ch, meant) || p.r.header.own) {
			b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: class.String() + text + slash, Chord: &ch})
			return nil
		}
	}
	if meant != nil {
		b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: class.String() + suffix + slash, Chord: meant})
		return nil
	}
	if text == "" {
		text = " " + strings.TrimSpace(kind.text)
	}
	p.r.leave(kind, "the meaning of the chord kind %q, of which only the words stay", fault.Clip(strings.TrimSpace(kind.text)+text))
	b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: class.String() + text + slash})
	return nil
}

func sameTones(a, b *pitch.Chord) bool {
	tones := func(c *pitch.Chord) []int {
		var out []int
		for _, t := range c.Tones {
			out = append(out, ((t.Interval.Semitones%12)+12)%12)
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(tones(a), tones(b))
}

// classOf reads the root or bass of a chord symbol as it sounds.
func (p *partReader) classOf(n *node, step, alter string) (pitch.Class, bool) {
	l, ok := letterOf(n.value(step))
	if !ok {
		return pitch.Class{}, false
	}
	a := int64(0)
	if t := n.value(alter); t != "" {
		f, ok := parseDecimal(t)
		if !ok || f.Den != 1 || f.Num < -2 || f.Num > 2 {
			return pitch.Class{}, false
		}
		a = f.Num
	}
	return pitch.Class{Letter: l, Alter: int8(a)}.Up(p.transpose), true
}

// barline reads one side of a bar.
func (p *partReader) barline(b *rawBar, c *cursor, n *node) {
	where := n.attr("location")
	if where == "" {
		where = "right"
	}
	style := tune.SingleBarline
	if k := n.kid("bar-style"); k != nil {
		switch s := strings.TrimSpace(k.text); s {
		case "dashed":
			style = tune.DottedBarline
		case "heavy", "heavy-heavy", "tick", "short":
			p.r.leave(k, "the barline style %q", s)
		default:
			if i := slices.Index(terms.BarlineStyles[:], s); i >= 0 {
				style = tune.BarlineStyle(i)
			}
		}
	}
	if where == "middle" {
		if n.kid("repeat") == nil && n.kid("ending") == nil {
			p.r.leave(n, "barlines in the middle of a measure")
			return
		}
		p.middle(c, n, style)
		return
	}
	p.barlineAt(b, c, n, style, where)
}

// barlineAt puts what a barline says to the side of a bar where it stands.
func (p *partReader) barlineAt(b *rawBar, c *cursor, n *node, style tune.BarlineStyle, where string) {
	repeat := n.kid("repeat")
	if repeat != nil {
		switch repeat.attr("direction") {
		case "forward":
			b.Left.Repeat = 1
			if style == tune.OpenBarline {
				style = tune.SingleBarline
			}
		case "backward":
			times, err := strconv.Atoi(repeat.attr("times"))
			if err != nil || times < 2 {
				times = 2
			}
			b.Right.Repeat = min(times-1, tune.MaxRepeats)
			if style == tune.FinalBarline {
				style = tune.SingleBarline
			}
		}
	}
	if where == "left" {
		b.Left.Style = style
	} else {
		b.Right.Style = style
	}
	for _, k := range n.kids {
		switch k.name {
		case "ending":
			switch k.attr("type") {
			case "start":
				b.Endings = p.endingNumbers(k)
			case "stop", "discontinue":
				b.EndingEnds = true
			}
		case "segno":
			b.Signs = append(b.Signs, tune.Sign{At: map[bool]tune.Ticks{true: 0, false: c.end}[where == "left"], Kind: tune.Segno})
		case "coda":
			b.Signs = append(b.Signs, tune.Sign{At: map[bool]tune.Ticks{true: 0, false: c.end}[where == "left"], Kind: tune.Coda})
		case "fermata":
			p.r.leave(k, "fermatas on barlines")
		}
	}
}

// middle keeps a line inside a measure for splitting the bar there.
func (p *partReader) middle(c *cursor, n *node, style tune.BarlineStyle) {
	m := midLine{at: c.at, line: n.line, col: n.col}
	var side rawBar
	p.barlineAt(&side, c, n, style, "right")
	m.left, m.right = side.Right, side.Left
	m.endings, m.endsHere = side.Endings, side.EndingEnds
	if m.right.Repeat > 0 && m.left.Repeat == 0 {
		m.left.Style, m.right.Style = tune.SingleBarline, tune.SingleBarline
	}
	c.lines = append(c.lines, m)
}

func (p *partReader) endingNumbers(k *node) []int {
	var out []int
	for _, s := range strings.FieldsFunc(k.attr("number"), func(r rune) bool { return r == ',' || r == ' ' }) {
		n, err := strconv.Atoi(s)
		if err == nil && n >= 1 && n <= tune.MaxRepeats && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	if len(out) == 0 {
		p.r.warn(k.line, k.col, "an ending with the number %q is left out", fault.Clip(k.attr("number")))
	}
	return out
}
