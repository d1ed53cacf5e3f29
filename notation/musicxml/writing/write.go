package writing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Tab returns a tab as MusicXML 4.0: one part with a staff of notes and, under
// it, the tablature of the same notes. A note that the rig can't play stands
// in the staff with its head in brackets and is missing from the tablature.
func Tab(t *tab.Tab) ([]byte, error) {
	w := newWriter(t.Tune)
	w.tab, w.geometry = t, steel.New(t.Rig)
	if err := w.findPlucks(); err != nil {
		return nil, err
	}
	return w.bounded()
}

// Together returns several tabs as one MusicXML 4.0 score: a part for each, in order,
// with its staff and tablature. Title, composer and what else belongs to the piece are
// those of the first. It fails, as Tab does, for a score that would be beyond what is read
// again, and for tabs of bars that are not as long.
func Together(tabs []*tab.Tab) ([]byte, error) {
	if len(tabs) == 0 {
		return nil, &fault.Fault{Msg: "a score needs a part"}
	}
	if len(tabs) > terms.MaxParts {
		return nil, &fault.Fault{Msg: fmt.Sprintf("the score would have %d parts, and %d is the most that is read again", len(tabs), terms.MaxParts)}
	}
	var first *writer
	for i, t := range tabs {
		sung := t.Tune
		if i > 0 {
			sung = unsung(sung)
		}
		w := newWriter(sung)
		w.tab, w.geometry, w.part = t, steel.New(t.Rig), i+1
		if err := w.findPlucks(); err != nil {
			return nil, err
		}
		if first == nil {
			first = w
			continue
		}
		if err := sameBars(tabs[0].Tune, t.Tune); err != nil {
			return nil, err
		}
		w.emitter = first.emitter
		first.more = append(first.more, w)
	}
	return first.bounded()
}

// unsung returns a tune without its syllables, which stay with the first part.
func unsung(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := range out.Bars {
		for _, line := range out.Bars[i].Lines {
			for k := range line {
				line[k].Lyrics = nil
			}
		}
	}
	return out
}

// sameBars says why two tunes can't be parts of one score.
func sameBars(a, b *tune.Tune) error {
	if len(a.Bars) != len(b.Bars) {
		return &fault.Fault{Msg: fmt.Sprintf("one part has %d bars and another %d", len(a.Bars), len(b.Bars))}
	}
	for i := range a.Bars {
		if a.Bars[i].Len != b.Bars[i].Len {
			return &fault.Fault{Bar: strconv.Itoa(a.Bars[i].Number), Msg: fmt.Sprintf("the bar is %s long in one part and %s in another", a.Bars[i].Len, b.Bars[i].Len)}
		}
	}
	return nil
}

// Tune returns a tune as MusicXML 4.0: one part of one staff. It fails, as Tab
// does, for a score that would be beyond what is read again.
func Tune(t *tune.Tune) ([]byte, error) {
	return newWriter(t).bounded()
}

// bounded writes the score and fails when Read would refuse it.
func (w *writer) bounded() ([]byte, error) {
	refuse := func(what string, have, most int) ([]byte, error) {
		return nil, &fault.Fault{Msg: fmt.Sprintf("the score would have %d %s, and %d is the most that is read again", have, what, most)}
	}
	for _, p := range partsOf(w) {
		if n := len(p.t.Voices); n > terms.MaxVoices {
			return refuse("voices", n, terms.MaxVoices)
		}
	}
	if n := len(w.t.Bars) * len(partsOf(w)); n > terms.MaxMeasures {
		return refuse("measures", n, terms.MaxMeasures)
	}
	out := w.score()
	switch {
	case w.notes > terms.MaxNotes:
		return refuse("notes", w.notes, terms.MaxNotes)
	case w.directions > terms.MaxMarks:
		return refuse("directions and chord symbols", w.directions, terms.MaxMarks)
	case w.most > terms.MaxElements:
		return refuse("elements in one measure", w.most, terms.MaxElements)
	case len(out) > terms.MaxBytes:
		return refuse("bytes", len(out), terms.MaxBytes)
	}
	return out, nil
}

// place says where a pluck stands in the tab.
type place struct {
	stroke, pluck int
}

// writer writes one score.
type writer struct {
	*emitter
	part      int       // its number, from 1
	more      []*writer // of further parts
	t         *tune.Tune
	tab       *tab.Tab
	geometry  *steel.Geometry
	divisions int64 // a quarter note
	plucks    map[tune.Ref]place
	next      map[place]place // the string's next pluck, in written order
	before    map[place]place
	missing   map[tune.Ref]bool // notes named in a compromise
	voices    []voiceState
	prevKey   pitch.Key
	prevMeter tune.Meter
	firstFrom []int   // the bar that each is come to from the first time (tune.FirstFrom)
	to        [][]int // the bars that may come after each
}

// voiceState is what goes on from event to event in one voice of the staff.
type voiceState struct {
	slurs  []int // numbers of the open slurs
	slides []slideEnd
	verses map[int]bool // verses in the middle of a word
}

// slideEnd is a glide waiting for its second note.
type slideEnd struct{ fromTop, number int }

func newWriter(t *tune.Tune) *writer {
	w := &writer{emitter: &emitter{}, part: 1, t: t, divisions: 1, voices: make([]voiceState, len(t.Voices))}
	for i := range w.voices {
		w.voices[i].verses = map[int]bool{}
	}
	passes, _ := tune.Unfold(t)
	w.to = tune.Followers(t, passes)
	w.firstFrom = tune.FirstFrom(t, passes)
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
	w.divisions = base / 4
	return w
}

// duration returns a time in divisions; newWriter has made that exact.
func (w *writer) duration(t tune.Ticks) int64 {
	num, den := t.Fraction()
	return num * (w.divisions * 4 / den)
}

// findPlucks indexes the tab by the note that each pluck plays.
func (w *writer) findPlucks() error {
	w.plucks = map[tune.Ref]place{}
	w.next, w.before = map[place]place{}, map[place]place{}
	w.missing = map[tune.Ref]bool{}
	last := map[int]place{}
	for i := range w.tab.Strokes {
		for j := range w.tab.Strokes[i].Plucks {
			p := &w.tab.Strokes[i].Plucks[j]
			if p.String < 1 || p.String > len(w.tab.Rig.Strings) {
				return fmt.Errorf("a pluck on string %d of a rig with %d strings", p.String, len(w.tab.Rig.Strings))
			}
			if p.Fret < 0 {
				return fmt.Errorf("a pluck at fret %g", p.Fret)
			}
			here := place{i, j}
			w.plucks[p.Ref] = here
			if from, ok := last[p.String]; ok {
				w.next[from], w.before[here] = here, from
			}
			last[p.String] = here
		}
	}
	for _, c := range w.tab.Compromises {
		if _, ok := w.plucks[c.Ref]; !ok {
			w.missing[c.Ref] = true
		}
	}
	return nil
}

func (w *writer) pluck(p place) *tab.Pluck { return &w.tab.Strokes[p.stroke].Plucks[p.pluck] }

func (w *writer) score() []byte {
	w.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	w.WriteString("<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\">\n")
	w.open("score-partwise", "version", "4.0")
	w.header()
	for _, p := range partsOf(w) {
		w.open("part", "id", idOf(p))
		for i := range p.t.Bars {
			p.measure(i)
		}
		w.close()
	}
	w.close()
	return w.Bytes()
}

// partsOf lists the writers of all parts.
func partsOf(w *writer) []*writer { return append([]*writer{w}, w.more...) }

// idOf is what a part is called in the file.
func idOf(w *writer) string { return "P" + strconv.Itoa(w.part) }

func (w *writer) header() {
	t := w.t
	if t.Title != "" {
		w.open("work")
		w.text("work-title", t.Title)
		w.close()
	}
	w.open("identification")
	if t.Composer != "" {
		w.text("creator", t.Composer, "type", "composer")
	}
	w.open("encoding")
	w.text("software", "Lapwright")
	for _, element := range []string{"accidental", "beam"} {
		w.empty("supports", "element", element, "type", "yes")
	}
	w.close()
	if t.Source != "" {
		w.text("source", t.Source)
	}
	w.miscellaneous()
	w.close()
	for _, s := range t.Subtitles {
		w.open("credit", "page", "1")
		w.text("credit-type", "subtitle")
		w.text("credit-words", s)
		w.close()
	}
	w.open("part-list")
	for _, p := range partsOf(w) {
		writeScorePart(p)
	}
	w.close()
}

// writeScorePart says what a part is.
func writeScorePart(w *writer) {
	w.open("score-part", "id", idOf(w))
	name, sound, program := "Melody", "", int64(26)
	if w.tab != nil {
		name = w.tab.Rig.Title
		if name == "" {
			name = w.tab.Rig.Name
		}
		sound, program = instrument(w.tab.Rig.Body)
	} else if v := w.t.Voices; len(v) == 1 && v[0].Name != "" {
		name = v[0].Name
	}
	w.text("part-name", name)
	if w.tab != nil {
		w.open("score-instrument", "id", idOf(w)+"-I1")
		w.text("instrument-name", name)
		w.text("instrument-sound", sound)
		w.close()
		w.open("midi-instrument", "id", idOf(w)+"-I1")
		channel := int64(w.part-1)%15 + 1
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

func (w *writer) miscellaneous() {
	t := w.t
	var fields [][2]string
	add := func(name, value string) {
		if value != "" {
			fields = append(fields, [2]string{name, value})
		}
	}
	if t.Index != 0 {
		add(terms.FieldIndex, strconv.Itoa(t.Index))
	}
	add(terms.FieldRhythm, t.Rhythm)
	add(terms.FieldOrigin, t.Origin)
	add(terms.FieldPartOrder, t.PartOrder)
	for _, s := range t.Notes {
		add(terms.FieldNote, s)
	}
	for _, s := range t.Words {
		fields = append(fields, [2]string{terms.FieldWords, s}) // an empty line parts verses
	}
	for _, p := range partsOf(w) {
		ownFields(p, add)
	}
	if len(fields) == 0 {
		return
	}
	w.open("miscellaneous")
	for _, f := range fields {
		w.text("miscellaneous-field", f[1], "name", f[0])
	}
	w.close()
}

// ownFields gives the fields that belong to the part.
func ownFields(w *writer, write func(name, value string)) {
	add := func(name, value string) { write(terms.FieldOf(w.part, name), value) }
	for i, v := range w.t.Voices {
		if v.ID != strconv.Itoa(i+1) {
			add(terms.FieldVoice+strconv.Itoa(i+1), v.ID)
		}
		if len(w.t.Voices) > 1 || w.tab != nil {
			add(terms.FieldVoiceName+strconv.Itoa(i+1), v.Name)
		}
	}
	if w.tab == nil {
		return
	}
	add(terms.FieldRig, w.tab.Rig.Name)
	if w.tab.Transposed != 0 {
		add(terms.FieldTransposed, strconv.Itoa(w.tab.Transposed))
	}
	var added, left []string
	for _, a := range w.tab.Added {
		added = append(added, a.Text())
	}
	for _, l := range w.tab.LeftOut {
		left = append(left, l.Text())
	}
	add(terms.FieldAdded, strings.Join(added, "; "))
	add(terms.FieldLeftOut, strings.Join(left, "; "))
}

func (w *writer) measure(i int) {
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
		writeSwing(w)
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
		w.line(i, v)
	}
	if w.tab != nil {
		for v := range b.Lines {
			w.back(b.Len)
			w.tabLine(i, v)
		}
	}
	w.barline(b, "right")
	w.close()
}

// writeSwing writes how eighths are parted; one by tempo as it is at the first, and named so
// as its style.
func writeSwing(w *writer) {
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

func (w *writer) back(d tune.Ticks) {
	w.open("backup")
	w.number("duration", w.duration(d))
	w.close()
}

// attributes writes what holds from this bar on and has changed.
func (w *writer) attributes(i int) {
	b := &w.t.Bars[i]
	newKey := i == 0 || b.Key != w.prevKey
	newMeter := i == 0 || !b.Meter.Equal(w.prevMeter)
	if !newKey && !newMeter {
		return
	}
	w.prevKey, w.prevMeter = b.Key, b.Meter
	w.open("attributes")
	if i == 0 {
		w.number("divisions", w.divisions)
	}
	if newKey {
		w.key(b.Key)
	}
	if newMeter {
		w.meter(b.Meter)
	}
	if i == 0 {
		if w.tab != nil {
			w.number("staves", 2)
		}
		w.clefs()
		if w.tab != nil {
			w.staffDetails()
		}
	}
	w.close()
}

// lowTune is the average key number under which a tune is written in the clef
// that sounds an octave lower: about B3, where a treble clef runs to ledger
// lines below the staff.
const lowTune = 59

func (w *writer) clefs() {
	low := w.tab != nil
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
	if w.tab != nil {
		number = "1"
	}
	w.open("clef", "number", number)
	w.text("sign", "G")
	w.number("line", 2)
	if low {
		w.number("clef-octave-change", -1)
	}
	w.close()
	if w.tab != nil {
		w.open("clef", "number", "2")
		w.text("sign", "TAB")
		w.number("line", 5) // as is usual for tablature, however many lines
		w.close()
	}
}

// staffDetails writes the tuning from the lowest line, which is the highest
// string number, without the capo, which MusicXML counts apart.
func (w *writer) staffDetails() {
	r := w.tab.Rig
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
func (w *writer) barline(b *tune.Bar, side string) {
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
func (w *writer) openEnding(b *tune.Bar) []int {
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

// Lost lists what MusicXML has no place for in a tune, by bar: a text for each,
// as docs/formats/musicxml.md has it.
func Lost(t *tune.Tune) fault.List {
	var out fault.List
	var prev pitch.Key
	for i := range t.Bars {
		b := &t.Bars[i]
		add := func(msg string) { out.Add(&fault.Fault{Bar: strconv.Itoa(b.Number), Msg: msg}) }
		if f := b.Key.Fifths(); (i == 0 || b.Key != prev) && (f < -7 || f > 7 || b.Key.Signature != pitch.SignatureOf(f)) {
			add("the key signature is the music's own, and MusicXML then has no place for the key's name")
		}
		prev = b.Key
		if b.Right.Repeat > 0 && b.Right.Style == tune.FinalBarline {
			add("a final barline with a repeat is written as a repeat")
		}
	}
	return out
}
