package writing

import (
	"math"
	"strconv"
	"strings"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// part writes one part of a score.
type part struct {
	*emitter
	place     int // from 1
	t         *tune.Tune
	divisions divisions
	prevKey   pitch.Key
	prevMeter tune.Meter
	notes     noteStaff
	tablature *tabStaff // nil for none
}

// newPart returns the writer of a tune as a part, with the tablature of a tab of it where
// that is not nil.
func newPart(e *emitter, place int, t *tune.Tune, tb *tab.Tab) (*part, error) {
	d := divisionsFor(t)
	passes, _ := tune.Unfold(t)
	w := &part{emitter: e, place: place, t: t, divisions: d}
	w.notes = noteStaff{staff: staff{emitter: e, divisions: d}, t: t, over: directionWriter{e, d}, voices: make([]voiceState, len(t.Voices)), firstFrom: tune.FirstFrom(t, passes)}
	for i := range w.notes.voices {
		w.notes.voices[i].verses = map[int]bool{}
	}
	if tb == nil {
		return w, nil
	}
	plucked, err := newPlucked(tb, tune.Followers(t, passes))
	if err != nil {
		return nil, err
	}
	w.notes.row, w.notes.missing = 1, plucked.missing
	w.tablature = &tabStaff{staff{e, d, 2}, plucked}
	return w, nil
}

// id is what the part is called in the file.
func (w *part) id() string { return "P" + strconv.Itoa(w.place) }

// divisionsFor returns divisions in which all times of a tune are whole numbers.
func divisionsFor(t *tune.Tune) divisions {
	base := int64(4)
	add := func(x tune.Ticks) {
		_, den := x.Fraction()
		base = pitch.LCM(base, den)
	}
	for i := range t.Bars {
		b := &t.Bars[i]
		add(b.Len)
		for _, line := range b.Lines {
			for j := range line {
				add(line[j].Len)
			}
		}
		for _, at := range b.Marked() {
			add(at)
		}
	}
	return divisions(base / 4)
}

// writeListed says in the list of parts what the part is.
func (w *part) writeListed() {
	w.open("score-part", "id", w.id())
	name, sound, program := "Melody", "", int64(26)
	if w.tablature != nil {
		name = w.tablature.tab.Rig.Title
		if name == "" {
			name = w.tablature.tab.Rig.Name
		}
		sound, program = instrument(w.tablature.tab.Rig.Body)
	} else if v := w.t.Voices; len(v) == 1 && v[0].Name != "" {
		name = v[0].Name
	}
	w.text("part-name", name)
	if w.tablature != nil {
		w.open("score-instrument", "id", w.id()+"-I1")
		w.text("instrument-name", name)
		w.text("instrument-sound", sound)
		w.close()
		w.open("midi-instrument", "id", w.id()+"-I1")
		channel := int64(w.place-1)%15 + 1
		if channel >= 10 { // which means drums
			channel++
		}
		w.number("midi-channel", channel)
		w.number("midi-program", program)
		w.close()
	}
	w.close()
}

// instrument returns the name of the standard sound of a body (sounds.xml of
// MusicXML 4.0, from memory) and its General MIDI program, counted from 1.
func instrument(b rig.Body) (string, int64) {
	switch b {
	case rig.LapSteel, rig.PedalSteel:
		return "pluck.guitar.pedal-steel", 28
	case rig.SquareNeckResonator, rig.Tricone:
		return "pluck.guitar.resonator", 26
	}
	return "pluck.guitar.steel-string", 26
}

// ownFields gives the fields that belong to the part.
func (w *part) ownFields(write func(name, value string)) {
	add := func(name, value string) { write(terms.FieldOf(w.place, name), value) }
	for i, v := range w.t.Voices {
		if v.ID != strconv.Itoa(i+1) {
			add(terms.FieldVoice+strconv.Itoa(i+1), v.ID)
		}
		if len(w.t.Voices) > 1 || w.tablature != nil {
			add(terms.FieldVoiceName+strconv.Itoa(i+1), v.Name)
		}
	}
	if w.tablature == nil {
		return
	}
	tb := w.tablature.tab
	add(terms.FieldRig, tb.Rig.Name)
	if tb.Transposed != 0 {
		add(terms.FieldTransposed, strconv.Itoa(tb.Transposed))
	}
	var added, left []string
	for _, a := range tb.Added {
		added = append(added, a.Text())
	}
	for _, l := range tb.LeftOut {
		left = append(left, l.Text())
	}
	add(terms.FieldAdded, strings.Join(added, "; "))
	add(terms.FieldLeftOut, strings.Join(left, "; "))
}

func (w *part) measure(i int) {
	b := &w.t.Bars[i]
	implicit := ""
	if b.Number == 0 {
		implicit = "yes"
	}
	w.open("measure", "number", strconv.Itoa(b.Number), "implicit", implicit)
	if i > 0 && w.t.Bars[i-1].LineBreak {
		w.empty("print", "new-system", "yes")
	}
	w.attributes(i)
	if i == 0 {
		w.writeSwing()
	}
	w.barline(b, "left")
	if b.Part != "" {
		w.open("direction", "placement", "above")
		w.open("direction-type")
		w.text("rehearsal", b.Part)
		w.close()
		w.close()
	}
	for v := range b.Lines {
		if v > 0 {
			w.back(b.Len)
		}
		w.notes.line(i, v)
	}
	if w.tablature != nil {
		for v := range b.Lines {
			w.back(b.Len)
			w.tablature.line(i, v)
		}
	}
	w.barline(b, "right")
	w.close()
}

// writeSwing writes how eighths are parted; one by tempo as it is at the first, and named so
// as its style.
func (w *part) writeSwing() {
	s := w.t.Swing
	if s.Even() {
		return
	}
	w.open("sound")
	w.open("swing")
	if s.ByTempo {
		first := w.t.FirstSpeed()
		r := math.Round(100 * s.Ratio(float64(first.PerMinute)/1000*float64(4*first.Beat)/float64(tune.Whole)))
		d := pitch.GCD(int64(r), 100)
		s.Long, s.Short = int(int64(r)/d), int(100/d)
	}
	if s.Long == s.Short {
		w.empty("straight")
	} else {
		w.number("first", int64(s.Long))
		w.number("second", int64(s.Short))
		w.text("swing-type", "eighth")
	}
	if s.ByTempo {
		w.text("swing-style", tune.TempoSwing.String())
	}
	w.close()
	w.close()
}

func (w *part) back(d tune.Ticks) {
	w.open("backup")
	w.number("duration", w.divisions.of(d))
	w.close()
}

// attributes writes what holds from this bar on and has changed.
func (w *part) attributes(i int) {
	b := &w.t.Bars[i]
	newKey := i == 0 || b.Key != w.prevKey
	newMeter := i == 0 || !b.Meter.Equal(w.prevMeter)
	if !newKey && !newMeter {
		return
	}
	w.prevKey, w.prevMeter = b.Key, b.Meter
	w.open("attributes")
	if i == 0 {
		w.number("divisions", int64(w.divisions))
	}
	if newKey {
		w.key(b.Key)
	}
	if newMeter {
		w.meter(b.Meter)
	}
	if i == 0 {
		if w.tablature != nil {
			w.number("staves", 2)
		}
		w.clefs()
		if w.tablature != nil {
			w.staffDetails()
		}
	}
	w.close()
}

// lowTune is the average key number under which a tune is written in the clef
// that sounds an octave lower: about B3, where a treble clef runs to ledger
// lines below the staff.
const lowTune = 59

func (w *part) clefs() {
	low := w.tablature != nil
	if !low {
		sum, n := 0, 0
		for i := range w.t.Bars {
			for _, line := range w.t.Bars[i].Lines {
				for j := range line {
					for _, note := range line[j].Notes {
						sum += note.Name.Key()
						n++
					}
				}
			}
		}
		low = n > 0 && sum < lowTune*n
	}
	number := ""
	if w.tablature != nil {
		number = "1"
	}
	w.open("clef", "number", number)
	w.text("sign", "G")
	w.number("line", 2)
	if low {
		w.number("clef-octave-change", -1)
	}
	w.close()
	if w.tablature != nil {
		w.open("clef", "number", "2")
		w.text("sign", "TAB")
		w.number("line", 5) // as is usual for tablature, however many lines
		w.close()
	}
}

// staffDetails writes the tuning from the lowest line, which is the highest
// string number, without the capo, which MusicXML counts apart.
func (w *part) staffDetails() {
	r := w.tablature.tab.Rig
	tuned := r.TunedNames()
	w.open("staff-details", "number", "2")
	w.text("staff-type", "alternate")
	w.number("staff-lines", int64(len(r.Strings)))
	for line := 1; line <= len(r.Strings); line++ {
		open := tuned[len(r.Strings)-line]
		w.open("staff-tuning", "line", strconv.Itoa(line))
		w.text("tuning-step", open.Letter.String())
		if open.Alter != 0 {
			w.number("tuning-alter", int64(open.Alter))
		}
		w.number("tuning-octave", int64(open.Octave))
		w.close()
	}
	if r.Capo.At > 0 {
		w.number("capo", int64(r.Capo.At))
	}
	w.close()
}

// barline writes one side of a bar when there is anything to say.
func (w *part) barline(b *tune.Bar, side string) {
	l := b.Left
	ending := len(b.Endings) > 0
	if side == "right" {
		l = b.Right
		ending = b.EndingEnds
	}
	if l == (tune.Barline{}) && !ending {
		return
	}
	w.open("barline", "location", side)
	style := terms.BarlineStyles[l.Style]
	if l.Style == tune.SingleBarline && l.Repeat > 0 {
		style = map[string]string{"left": "heavy-light", "right": "light-heavy"}[side]
	}
	if l.Style != tune.SingleBarline || l.Repeat > 0 {
		w.text("bar-style", style)
	}
	if ending {
		if side == "left" {
			w.empty("ending", "number", numbers(b.Endings), "type", "start")
		} else {
			kind := "discontinue"
			if l.Repeat > 0 {
				kind = "stop"
			}
			w.empty("ending", "number", numbers(w.openEnding(b)), "type", kind)
		}
	}
	if l.Repeat > 0 {
		if side == "left" {
			w.empty("repeat", "direction", "forward")
		} else {
			times := ""
			if l.Repeat > 1 {
				times = strconv.Itoa(l.Repeat + 1)
			}
			w.empty("repeat", "direction", "backward", "times", times)
		}
	}
	w.close()
}

// openEnding returns the numbers of the ending that stands open at a bar.
func (w *part) openEnding(b *tune.Bar) []int {
	var open []int
	for i := range w.t.Bars {
		if n := w.t.Bars[i].Endings; len(n) > 0 {
			open = n
		}
		if &w.t.Bars[i] == b {
			break
		}
	}
	if len(open) == 0 {
		return []int{1}
	}
	return open
}

func numbers(n []int) string {
	parts := make([]string, len(n))
	for i, x := range n {
		parts[i] = strconv.Itoa(x)
	}
	return strings.Join(parts, ", ")
}
