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

// directionReader reads what stands over and under the notes of a part: words, tempos,
// signs to play on and chord symbols.
type directionReader struct {
	r       *reader
	clock   *clock
	concert *concertPitch
	swing   tune.Swing
	swung   bool // swing was told
}

// direction reads words, tempos and navigation marks.
func (dr *directionReader) direction(c *measure, n *node) error {
	b := &c.rawBar
	off, err := dr.clock.offset(n)
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
				if t, ok := dr.metronome(k, at); ok {
					tempo = &t
				}
			case "wedge":
				c.wedge(n, k, at)
			default:
				dr.r.leave(k, "the direction %q", fault.Clip(k.name))
			}
		}
	}
	text := strings.Join(words, " ")
	s := n.kid("sound")
	used, err := dr.sounds(b, at, s, text, tempo != nil, segno, coda)
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
func (c *measure) wedge(n, k *node, at tune.Ticks) {
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
		for _, e := range c.events {
			if e.Kind == tune.Sounding && e.At == w.at && e.At+e.Len == at && (voice == "" || voice == e.voice) && !slices.Contains(e.Marks, tune.Swell) {
				e.Marks = append(e.Marks, tune.Swell)
				return
			}
		}
		c.r.leave(w.k, "the direction %q", w.k.name)
		return
	}
	c.r.leave(k, "the direction %q", k.name)
}

// sound reads a sound element that stands alone.
func (dr *directionReader) sound(b *rawBar, at tune.Ticks, n *node, text string) error {
	off, err := dr.clock.offset(n)
	if err != nil {
		return err
	}
	_, err = dr.sounds(b, max(at+off, 0), n, text, false, false, false)
	return err
}

// sounds reads what a sound element makes happen; used says that the words that
// stand with it belong to that.
func (dr *directionReader) sounds(b *rawBar, at tune.Ticks, s *node, text string, hasTempo, segno, coda bool) (used bool, err error) {
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
			dr.r.warn(s.line, s.col, "a tempo of %q is left out", fault.Clip(v))
		} else {
			b.Tempos = append(b.Tempos, tune.Tempo{At: at, Beat: tune.Whole / 4, PerMinute: per, Text: text})
			used = true
		}
	}
	if s != nil {
		if k := s.kid("swing"); k != nil {
			dr.readSwing(k)
		}
	}
	if get("forward-repeat") == "yes" {
		b.Left.Repeat = 1
	}
	return used, nil
}

// readSwing reads how eighths are parted. A tune has one swing: the first that is told.
func (dr *directionReader) readSwing(k *node) {
	var s tune.Swing
	told := "straight"
	switch {
	case k.value("swing-style") == tune.TempoSwing.String():
		s = tune.TempoSwing
	case k.kid("straight") == nil:
		told = fmt.Sprintf("%s to %s", k.value("first"), k.value("second"))
		if kind := k.value("swing-type"); kind != "" && kind != "eighth" {
			dr.r.warn(k.line, k.col, "a swing of %q notes is left out: eighths are swung here, or nothing", fault.Clip(kind))
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
			dr.r.warn(k.line, k.col, "a swing of %q is left out", fault.Clip(told))
			return
		}
	}
	if dr.swung && s != dr.swing {
		dr.r.warn(k.line, k.col, "a change of swing, %q, is left out: a tune has one", fault.Clip(told))
		return
	}
	dr.swing, dr.swung = s, true
}

// metronome reads a mark such as "quarter = 100".
func (dr *directionReader) metronome(k *node, at tune.Ticks) (tune.Tempo, bool) {
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
		dr.r.leave(k, "a tempo that is no number of beats a minute")
		return tune.Tempo{}, false
	}
	j := i
	for j < len(text) && strings.IndexByte("0123456789.", text[j]) >= 0 {
		j++
	}
	f, ok := parseDecimal(strings.TrimRight(text[i:j], "."))
	if !ok {
		dr.r.leave(k, "a tempo that is no number of beats a minute")
		return tune.Tempo{}, false
	}
	per := (f.Num*1000 + f.Den/2) / f.Den
	if per < 1 || per > tune.MaxPerMinute {
		dr.r.warn(k.line, k.col, "a tempo of %q is left out", fault.Clip(text))
		return tune.Tempo{}, false
	}
	return tune.Tempo{At: at, Beat: v.Len(), PerMinute: per}, true
}

// harmony reads chord symbols; several in one element follow each other at
// the same place and only the first is kept.
func (dr *directionReader) harmony(c *measure, n *node) error {
	b := &c.rawBar
	off, err := dr.clock.offset(n)
	if err != nil {
		return err
	}
	at := max(c.at+off, 0)
	root, kind := n.kid("root"), n.kid("kind")
	if root == nil || kind == nil {
		dr.r.leave(n, "chord symbols without a root (numerals, functions)")
		return nil
	}
	if f := n.kid("frame"); f != nil {
		dr.r.leave(f, "pictures of chord shapes (frame)")
	}
	text := kind.attr("text")
	if strings.TrimSpace(kind.text) == "none" {
		if strings.TrimSpace(text) == "" {
			text = "N.C."
		}
		b.Chords = append(b.Chords, tune.ChordAt{At: at, Text: text})
		return nil
	}
	class, ok := dr.concert.classOf(root, "root-step", "root-alter")
	if !ok {
		dr.r.warn(root.line, root.col, "a chord symbol has no root that is a note, and is left out")
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
				dr.r.leave(k, "chord symbols over others (polychords)")
			}
		case "bass":
			if bc, ok := dr.concert.classOf(k, "bass-step", "bass-alter"); ok && roots < 2 {
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
		if ch, err := pitch.ParseChord(class.String() + text + slash); err == nil && (meant == nil || sameTones(&ch, meant) || dr.r.header.own) {
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
	dr.r.leave(kind, "the meaning of the chord kind %q, of which only the words stay", fault.Clip(strings.TrimSpace(kind.text)+text))
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
