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

// clock turns the durations that a part is written in to ticks.
type clock struct {
	r         *reader
	divisions pitch.Fraction // a quarter note
}

// duration reads the duration child of an element in ticks.
func (c *clock) duration(n *node) (tune.Ticks, error) {
	d := n.kid("duration")
	if d == nil {
		return 0, c.r.fail(n.line, n.col, "a %s has no duration", n.name)
	}
	return c.ticks(d)
}

// ticks reads a number of divisions.
func (c *clock) ticks(d *node) (tune.Ticks, error) {
	f, ok := parseDecimal(d.text)
	if !ok || f.Num < 0 {
		return 0, c.r.fail(d.line, d.col, "%q is no duration", fault.Clip(d.text))
	}
	num, den := f.Num, f.Den
	// duration / divisions quarters.
	g := pitch.GCD(max(num, 1), c.divisions.Num)
	num /= g
	den *= c.divisions.Num / g
	h := pitch.GCD(c.divisions.Den, den)
	num *= c.divisions.Den / h
	den = den / h * 4
	if t, ok := tune.Of(num, den); ok {
		return t, nil
	}
	return 0, c.r.fail(d.line, d.col, "a duration of %s with %s divisions a quarter note is no length that can be kept exactly", fault.Clip(d.text), terms.FormatNumber(c.divisions.Float()))
}

// offset reads the offset child of a direction or harmony.
func (c *clock) offset(n *node) (tune.Ticks, error) {
	d := n.kid("offset")
	if d == nil {
		return 0, nil
	}
	text := strings.TrimSpace(d.text)
	if strings.HasPrefix(text, "-") {
		t, err := c.ticks(&node{text: text[1:], line: d.line, col: d.col})
		return -t, err
	}
	return c.ticks(d)
}

// readTime reads a time signature; several added together become one in the
// smallest of their units.
func (c *clock) readTime(k *node) (tune.Meter, bool) {
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
					c.r.warn(x.line, x.col, "the meter %q over %q is not kept", fault.Clip(beats), fault.Clip(x.text))
					return tune.Meter{}, false
				}
				q.groups = append(q.groups, n)
			}
			n, err := strconv.Atoi(strings.TrimSpace(x.text))
			if err != nil || n < 1 || n > tune.MaxUnit || n&(n-1) != 0 {
				c.r.warn(x.line, x.col, "the meter %q over %q is not kept", fault.Clip(beats), fault.Clip(x.text))
				return tune.Meter{}, false
			}
			q.unit = n
			unit = max(unit, n)
			pairs = append(pairs, q)
		case "interchangeable":
			c.r.leave(x, "a second meter to read the bars in (interchangeable)")
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
		c.r.warn(k.line, k.col, "the meter has %d beats and is not kept", m.Beats)
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

// concertPitch turns the pitches that a part is written in to those that sound.
type concertPitch struct {
	r         *reader
	key       pitch.Key
	transpose pitch.Interval
}

// readKey reads a key signature as it sounds.
func (cp *concertPitch) readKey(k *node) (pitch.Key, bool) {
	var key pitch.Key
	if f := k.kid("fifths"); f != nil {
		n, err := strconv.Atoi(strings.TrimSpace(f.text))
		mode, known := modeOf(k.value("mode"))
		if !known {
			cp.r.warn(k.line, k.col, "the mode %q is not known and major is taken", fault.Clip(k.value("mode")))
		}
		if err == nil && n >= -15 && n <= 15 {
			if made, err := pitch.NewKey(pitch.ClassAtFifths(n+int(mode)), mode); err == nil && made.Fifths() == n {
				return made.Up(cp.transpose), true
			}
		}
		cp.r.warn(f.line, f.col, "a signature of %q accidentals is not kept, seven is the most there are", fault.Clip(f.text))
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
			cp.r.warn(letters[i].line, letters[i].col, "%q altered by %q has no place in a key signature and is left out", fault.Clip(letters[i].text), fault.Clip(letters[i+1].text))
			continue
		}
		key.Signature[l] = int8(f.Num)
		alters++
	}
	if alters == 0 {
		return key, len(k.kids) == 0
	}
	key.Own = true
	if k.kid("key-octave") != nil {
		cp.r.leave(k.kid("key-octave"), "octaves of a key signature")
	}
	return key.Up(cp.transpose), true
}

func (cp *concertPitch) readTranspose(k *node) {
	chromatic, ok := parseDecimal(k.value("chromatic"))
	if !ok {
		cp.r.warn(k.line, k.col, "a transposition by %q is not kept", fault.Clip(k.value("chromatic")))
		return
	}
	semitones := int(math.Round(chromatic.Float()))
	steps, err := strconv.Atoi(strings.TrimSpace(k.value("diatonic")))
	if err != nil {
		steps = int(math.Round(float64(semitones) * 7 / 12))
	}
	octaves, _ := strconv.Atoi(strings.TrimSpace(k.value("octave-change")))
	if semitones < -60 || semitones > 60 || steps < -35 || steps > 35 || octaves < -5 || octaves > 5 {
		cp.r.warn(k.line, k.col, "a transposition by %s and %s is not kept", say.Count(semitones, "semitone"), say.Count(octaves, "octave"))
		return
	}
	if k.kid("double") != nil {
		cp.r.leave(k.kid("double"), "doubling at the octave")
	}
	was := cp.transpose
	cp.transpose = pitch.Interval{Steps: steps + 7*octaves, Semitones: semitones + 12*octaves}
	// The key that stands was read as written under the old transposition.
	cp.key = cp.key.Up(pitch.Interval{Steps: cp.transpose.Steps - was.Steps, Semitones: cp.transpose.Semitones - was.Semitones})
}

// pitchOf reads step, alteration and octave as written; a text says what is
// wrong. Alterations that are no whole number are rounded.
func (cp *concertPitch) pitchOf(n *node, step, alter, octave string) (pitch.Name, string) {
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
			cp.r.leave(k, "the part of an alteration that is smaller than a semitone")
		}
	}
	if a < -2 || a > 2 {
		cp.r.leave(n.kid(alter), "the spelling of notes with more than two sharps or flats")
		return pitch.SpellKey(pitch.Note(l, 0, oct).Key()+a, cp.key.Fifths()), ""
	}
	return pitch.Note(l, a, oct), ""
}

// classOf reads the root or bass of a chord symbol as it sounds.
func (cp *concertPitch) classOf(n *node, step, alter string) (pitch.Class, bool) {
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
	return pitch.Class{Letter: l, Alter: int8(a)}.Up(cp.transpose), true
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
