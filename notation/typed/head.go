package typed

import (
	"regexp"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// heading is what a text says before its first system.
type heading struct {
	title     string
	subtitles []string
	composer  string
	notes     []string
	key       *pitch.Key
	meter     *tune.Meter
	tempo     *tune.Tempo
	capo      int // −1 when nothing is said of it
	capoOn    columns.TextLine
}

// tune starts the tune of the text.
func (h *heading) tune() *tune.Tune {
	return &tune.Tune{Title: h.title, Subtitles: h.subtitles, Composer: h.composer, Notes: h.notes,
		Voices: []tune.Voice{columns.OnlyVoice}}
}

// headReader reads what a text says before its first system.
type headReader struct {
	*guesses
	rig *rig.Rig // with the capo that the text asks for, once it was read
	heading
}

var (
	wordHeading  = regexp.MustCompile(`^\s*([A-Za-z ]{1,20}?)\s*[:=]\s*(.+?)\s*$`)
	meterAlone   = regexp.MustCompile(`^\s*(\d{1,2}/\d{1,2})\s*(?:time)?\s*$`)
	tempoAlone   = regexp.MustCompile(`^\s*(?:[qQ♩]\s*=\s*)?(\d{2,3})\s*(?:bpm|BPM)?\s*$`)
	capoHeading  = regexp.MustCompile(`(?i)^\s*(?:sliding )?capo\s*(?:at|on|:)?\s*(?:fret\s*)?(\d{1,2})\s*(?:st|nd|rd|th)?\.?(?: fret)?\s*$`)
	keyOfHeading = regexp.MustCompile(`(?i)^\s*(?:in the )?key of ([A-G][#b♯♭]?(?: ?[a-z]+)?)\s*$`)
)

// read reads the lines above the first system. Of those right above it chords,
// rhythm and bar numbers belong to the system.
func (r *headReader) read(first *looseSystem) error {
	lines := first.above
	from := len(lines)
	// A blank line between such lines and the strings doesn't part them.
	for from > 0 && lines[from-1].Text == "" {
		from--
	}
	for from > 0 && kindOf(lines[from-1], nil) != wordLine {
		from--
	}
	first.above = lines[from:]
	for _, l := range lines[:from] {
		if l.Text == "" || strings.Trim(l.Text, "-=_* ") == "" {
			continue
		}
		if err := r.line(l); err != nil {
			return err
		}
	}
	if r.capo >= 0 && r.capo != r.rig.Capo.At {
		// The numbers count from the capo wherever it is: without one they are
		// those of the same tab, lower.
		if placed, err := r.rig.WithCapo(r.capo); err == nil {
			r.rig = placed
		} else {
			r.guess(r.capoOn, 0, "%v: the capo is passed over", err)
		}
	}
	return nil
}

func (r *headReader) line(l columns.TextLine) error {
	h := &r.heading
	text := strings.TrimSpace(l.Text)
	if m := capoHeading.FindStringSubmatch(text); m != nil {
		h.capo, _ = strconv.Atoi(m[1])
		h.capoOn = l
		return nil
	}
	if m := meterAlone.FindStringSubmatch(text); m != nil {
		return r.readMeter(l, m[1])
	}
	if m := keyOfHeading.FindStringSubmatch(text); m != nil {
		return r.readKey(l, m[1])
	}
	if m := tempoAlone.FindStringSubmatch(text); m != nil {
		n, _ := strconv.ParseInt(m[1], 10, 64)
		h.tempo = &tune.Tempo{Beat: tune.Whole / 4, PerMinute: 1000 * n}
		return nil
	}
	if m := wordHeading.FindStringSubmatch(text); m != nil {
		value := m[2]
		switch strings.ToLower(m[1]) {
		case "title", "tune", "song", "name":
			h.title = value
			return nil
		case "subtitle":
			h.subtitles = append(h.subtitles, value)
			return nil
		case "composer", "by", "music":
			h.composer = value
			return nil
		case "key":
			return r.readKey(l, value)
		case "time", "meter", "metre", "time signature":
			return r.readMeter(l, value)
		case "tempo", "speed", "bpm":
			if m := tempoAlone.FindStringSubmatch(value); m != nil {
				n, _ := strconv.ParseInt(m[1], 10, 64)
				h.tempo = &tune.Tempo{Beat: tune.Whole / 4, PerMinute: 1000 * n}
			} else {
				h.tempo = &tune.Tempo{Text: value}
			}
			return nil
		case "tuning", "tuned":
			return r.readTuning(l, value)
		case "rig", "instrument":
			return nil
		}
	}
	if h.title == "" {
		h.title = text
		r.guess(l, 0, "%q is taken as the title", fault.Clip(text))
		return nil
	}
	h.notes = append(h.notes, text)
	r.guess(l, 0, "%q is kept as a remark", fault.Clip(text))
	return nil
}

func (r *headReader) readKey(l columns.TextLine, value string) error {
	k, err := pitch.ParseKey(value)
	if err != nil {
		r.guess(l, strings.Index(l.Text, value), "%v: passed over", err)
		return nil
	}
	r.key = &k
	return nil
}

func (r *headReader) readMeter(l columns.TextLine, value string) error {
	m, _ := columns.ParseMeter(value)
	if m.Beats == 0 {
		r.guess(l, strings.Index(l.Text, value), "%q is not a meter: passed over", fault.Clip(value))
		return nil
	}
	r.meter = &m
	return nil
}

// readTuning compares a tuning that is written out, low to high or high to low,
// with the rig; what can't be read as one is kept as a remark.
func (r *headReader) readTuning(l columns.TextLine, value string) error {
	words := strings.Fields(strings.NewReplacer(",", " ", "-", " ").Replace(value))
	var classes []int
	for _, w := range words {
		if n, err := pitch.ParseName(w); err == nil {
			classes = append(classes, n.Semitone())
		} else if c, err := pitch.ParseClass(w); err == nil {
			classes = append(classes, c.Semitone())
		} else {
			r.notes = append(r.notes, strings.TrimSpace(l.Text))
			return nil
		}
	}
	n := len(r.rig.Strings)
	tuned := r.rig.TunedNames()
	up, down := len(classes) == n, len(classes) == n
	for i := range classes {
		if len(classes) != n {
			break
		}
		up = up && classes[i] == tuned[n-1-i].Semitone()
		down = down && classes[i] == tuned[i].Semitone()
	}
	if !up && !down {
		return r.fatal(l, strings.Index(l.Text, value), "the text is for the tuning %q, and the rig %q is tuned %s", fault.Clip(value), r.rig.Name, r.rig.TuningText())
	}
	return nil
}

// guessKey chooses the likeliest key for how long each tone sounds, in the
// numbers and in the chords above them.
func guessKey(bars []tune.Bar, long [12]float64) pitch.Key {
	var last pitch.Chord
	for i := range bars {
		from := tune.Ticks(0)
		sounds := func(to tune.Ticks) {
			for _, t := range last.Tones {
				long[last.Class(t).Semitone()] += float64(to - from)
			}
			from = to
		}
		for _, c := range bars[i].Chords {
			sounds(c.At)
			last = pitch.Chord{}
			if c.Chord != nil {
				last = *c.Chord
			}
		}
		sounds(bars[i].Len)
	}
	if k, ok := pitch.LikeliestKey(long); ok {
		return k
	}
	return pitch.Key{Signature: pitch.SignatureOf(0)}
}
