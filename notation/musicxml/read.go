package musicxml

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// Score is a MusicXML file as read: a tune for each part.
type Score struct {
	Name     string
	Title    string
	Parts    []*Part
	Warnings fault.List // what has been dropped or changed, with line and column
}

// Part is one part of a score.
type Part struct {
	ID, Name string
	Tune     *tune.Tune
	Notes    int // pitched notes, graces counted in
	// Strings and what follows is what the part says of a fretted instrument.
	Fingers []Finger     // string and fret of notes, in written order; empty without tablature
	Tuning  []pitch.Name // open strings, string 1 first, without the capo; nil when not given
	Capo    int
	Rig     string // the name of the rig, in files of our own

	own        bool // the file is of our making
	transposed int  // semitones the tune was moved by, in files of our own
	added      []tab.Added
	leftOut    []tab.LeftOut
}

// Finger is where one note is played.
type Finger struct {
	Ref    tune.Ref
	String int
	Fret   int

	line, col int
	own       []string // our own marks
	pluck     string   // p, i, m or a
	hammered  bool
	pulled    bool
	natural   bool
	palm      bool
	vibrato   bool
	slideOn   bool // a slide begins here
	slideTo   bool // a slide ends here
	tied      bool // taken up from a tie
	preBend   float64
	bend      float64
	graced    bool
}

// Read takes a MusicXML score apart, partwise or timewise, plain or compressed
// (.mxl). What can't be kept is in Warnings, each with its place; what makes the
// music unsure is an error. On error the score is nil.
//
// Entities, document types and links in the file are never followed.
func Read(src []byte, file string) (*Score, error) {
	s, err := open(src, file)
	if err != nil {
		return nil, err
	}
	r := &reader{source: s, score: &Score{Name: file}, parts: map[string]*partReader{}}
	root, err := s.root()
	if err != nil {
		return nil, err
	}
	switch root.name {
	case "score-partwise":
		err = r.partwise()
	case "score-timewise":
		err = r.timewise()
	case "opus":
		err = s.fail(root.line, root.col, "this is a list of scores, an opus; read the scores in it one by one")
	default:
		err = s.fail(root.line, root.col, "this is no MusicXML score: its root element is %q", fault.Clip(root.name))
	}
	if err != nil {
		return nil, err
	}
	return r.finish()
}

// reader reads one score.
type reader struct {
	*source
	score    *Score
	header   header
	parts    map[string]*partReader
	order    []*partReader
	measures int
	notes    int
	marks    int
	lines    int // voices of all measures
	dropped  []*drop
	byKind   map[string]*drop
}

// drop is one kind of thing that has been left out: where first, how often.
type drop struct {
	what      string
	times     int
	line, col int
}

// header is what stands before the music.
type header struct {
	title, movement string
	subtitles       []string
	composer        string
	source          string
	notes           []string
	words           []string
	fields          map[string]string
	own             bool // the file is of our making
	beams           bool // the file says that it has all its beams
}

// leave counts something left out.
func (r *reader) leave(n *node, format string, args ...any) {
	what := fmt.Sprintf(format, args...)
	if r.byKind == nil {
		r.byKind = map[string]*drop{}
	}
	d := r.byKind[what]
	if d == nil {
		if len(r.dropped) > 1000 {
			return
		}
		d = &drop{what: what, line: n.line, col: n.col}
		r.byKind[what] = d
		r.dropped = append(r.dropped, d)
	}
	d.times++
}

// warn lists one thing that has been changed.
func (r *reader) warn(line, col int, format string, args ...any) {
	if len(r.score.Warnings) < 1000 {
		r.score.Warnings.Add(&fault.Fault{File: r.file, Line: line, Col: col, Msg: fmt.Sprintf(format, args...)})
	}
}

// children reads the children of the element in hand: each of those with a
// name, and other of the rest.
func (r *reader) children(name string, each, other func(*node) error) error {
	for {
		n, err := r.next()
		if n == nil || err != nil {
			return err
		}
		do := each
		if n.name != name {
			do = other
		}
		if err := do(n); err != nil {
			return err
		}
	}
}

// stray passes over an element that has no business among what is given.
func (r *reader) stray(among string) func(*node) error {
	return func(n *node) error {
		r.leave(n, "the element %q among %s", fault.Clip(n.name), among)
		return r.skip()
	}
}

// partwise reads parts of measures.
func (r *reader) partwise() error {
	return r.children("part", func(n *node) error {
		p, err := r.part(n)
		if err != nil {
			return err
		}
		return r.children("measure", func(m *node) error { return r.measure(p, m) }, r.stray("measures"))
	}, r.head)
}

// timewise reads measures of parts.
func (r *reader) timewise() error {
	return r.children("measure", func(m *node) error {
		return r.children("part", func(n *node) error {
			p, err := r.part(n)
			if err != nil {
				return err
			}
			return r.measure(p, m)
		}, r.stray("parts"))
	}, r.head)
}

// part finds the reader of a part, new ones at the end.
func (r *reader) part(n *node) (*partReader, error) {
	id := n.attr("id")
	p := r.parts[id]
	if p == nil {
		if len(r.order) == terms.MaxParts {
			return nil, r.fail(n.line, n.col, "the score has more than %d parts", terms.MaxParts)
		}
		p = newPartReader(r, id)
		if id == "" {
			r.warn(n.line, n.col, "a part has no id")
		}
		r.parts[id] = p
		r.order = append(r.order, p)
	}
	return p, nil
}

// measure reads one measure of one part; n has its attributes.
func (r *reader) measure(p *partReader, n *node) error {
	if r.measures++; r.measures > terms.MaxMeasures {
		return r.fail(n.line, n.col, "the score has more than %d measures", terms.MaxMeasures)
	}
	r.count = 0
	t, err := r.tree(&node{name: "measure", attrs: n.attrs, line: n.line, col: n.col}, 3)
	if err != nil {
		return err
	}
	return p.measure(t)
}

// head reads an element before the music.
func (r *reader) head(n *node) error {
	t, err := r.tree(n, 2)
	if err != nil {
		return err
	}
	h := &r.header
	switch n.name {
	case "work":
		h.title = t.value("work-title")
		if t.kid("work-number") != nil {
			r.leave(t.kid("work-number"), "the work number")
		}
	case "movement-title":
		h.movement = t.text
	case "identification":
		r.identification(t)
	case "credit":
		kind, words := t.value("credit-type"), ""
		for _, k := range t.kids {
			if k.name == "credit-words" {
				words = strings.TrimSpace(words + " " + k.text)
			}
		}
		switch {
		case words == "":
		case kind == "subtitle" && len(h.subtitles) < terms.MaxCredits:
			h.subtitles = append(h.subtitles, words)
		case kind == "title" && h.title == "" && h.movement == "":
			h.title = words
		case kind == "title" || kind == "composer" || kind == "page number" || kind == "part name":
		default:
			r.leave(t, "words on the page (credit)")
		}
	case "part-list":
		for _, k := range t.kids {
			switch k.name {
			case "score-part":
				p, err := r.part(&node{attrs: k.attrs, line: k.line, col: k.col})
				if err != nil {
					return err
				}
				p.out.Name = strings.Join(strings.Fields(k.value("part-name")), " ")
			case "part-group":
				r.leave(k, "grouping of parts")
			}
		}
	case "defaults", "movement-number":
		// Page sizes, fonts and the number of a movement are not music.
	default:
		r.leave(n, "the element %q", fault.Clip(n.name))
	}
	return nil
}

func (r *reader) identification(t *node) {
	h := &r.header
	for _, k := range t.kids {
		switch k.name {
		case "creator":
			kind := k.attr("type")
			switch {
			case kind == "composer" || kind == "" && h.composer == "":
				h.composer = k.text
			case k.text != "" && len(h.notes) < terms.MaxCredits:
				h.notes = append(h.notes, kind+": "+k.text)
			}
		case "rights":
			if k.text != "" && len(h.notes) < terms.MaxCredits {
				h.notes = append(h.notes, "rights: "+k.text)
			}
		case "source":
			h.source = k.text
		case "encoding":
			for _, e := range k.kids {
				switch {
				case e.name == "software" && e.text == "Lapwright":
					h.own = true
				case e.name == "supports" && e.attr("element") == "beam" && e.attr("type") == "yes":
					h.beams = true
				}
			}
		case "miscellaneous":
			for _, f := range k.kids {
				if h.fields == nil {
					h.fields = map[string]string{}
				}
				if len(h.fields)+len(h.notes)+len(h.words) > 10*terms.MaxCredits {
					break
				}
				switch name := f.attr("name"); name {
				case terms.FieldNote:
					h.notes = append(h.notes, f.text)
				case terms.FieldWords:
					h.words = append(h.words, f.text)
				default:
					h.fields[name] = f.text
				}
				if !h.own {
					r.leave(f, "remarks of another program (miscellaneous)")
				}
			}
		case "relation":
			r.leave(k, "relations to other works")
		}
	}
}

// finish makes tunes of what was read.
func (r *reader) finish() (*Score, error) {
	s := r.score
	for i, p := range r.order {
		p.place = i + 1
		if len(p.bars) == 0 {
			r.warn(0, 0, "part %q has no measures and is left out", fault.Clip(cmp.Or(p.out.Name, p.out.ID)))
			continue
		}
		t, err := p.tune()
		if err != nil {
			return nil, err
		}
		r.fill(t, p)
		if l := t.Check(); len(l) > 0 {
			return nil, &fault.Fault{File: r.file, Bar: l[0].Bar, Beat: l[0].Beat, Msg: fmt.Sprintf("part %q makes no sense: %s", fault.Clip(cmp.Or(p.out.Name, p.out.ID)), l[0].Msg)}
		}
		p.out.Tune = t
		s.Parts = append(s.Parts, p.out)
	}
	if len(s.Parts) == 0 {
		return nil, &fault.Fault{File: r.file, Msg: "the score has no part with measures"}
	}
	s.Title = s.Parts[0].Tune.Title
	for _, d := range r.dropped {
		msg := d.what + ": left out"
		if d.times > 1 {
			msg += fmt.Sprintf(" (%d times, first here)", d.times)
		}
		s.Warnings.Add(&fault.Fault{File: r.file, Line: d.line, Col: d.col, Msg: msg})
	}
	s.Warnings.Sort()
	return s, nil
}

// fill gives a tune what the header says.
func (r *reader) fill(t *tune.Tune, p *partReader) {
	h := &r.header
	t.Title, t.Composer, t.Source = h.title, h.composer, h.source
	t.Subtitles = slices.Clone(h.subtitles)
	switch {
	case t.Title == "":
		t.Title = h.movement
	case h.movement != "" && h.movement != t.Title:
		t.Subtitles = append([]string{h.movement}, t.Subtitles...)
	}
	t.Notes, t.Words = slices.Clone(h.notes), slices.Clone(h.words)
	if !h.own {
		if len(t.Voices) == 1 {
			t.Voices[0].Name = p.out.Name
		}
		return
	}
	f := h.fields
	t.Rhythm, t.Origin = f[terms.FieldRhythm], f[terms.FieldOrigin]
	t.Index, _ = strconv.Atoi(f[terms.FieldIndex])
	if _, err := tune.ParsePartOrder(f[terms.FieldPartOrder]); err == nil {
		t.PartOrder = f[terms.FieldPartOrder]
	}
	own := func(name string) string { return f[terms.FieldOf(p.place, name)] }
	for i := range t.Voices {
		if id := own(terms.FieldVoice + strconv.Itoa(i+1)); id != "" {
			t.Voices[i].ID = id
		}
		t.Voices[i].Name = own(terms.FieldVoiceName + strconv.Itoa(i+1))
	}
	p.out.own = true
	p.out.Rig = own(terms.FieldRig)
	p.out.transposed, _ = strconv.Atoi(own(terms.FieldTransposed))
	for _, text := range strings.Split(own(terms.FieldAdded), "; ") {
		if a, ok := tab.ParseAdded(text); ok {
			p.out.added = append(p.out.added, a)
		}
	}
	for _, text := range strings.Split(own(terms.FieldLeftOut), "; ") {
		if l, ok := tab.ParseLeftOut(text); ok {
			p.out.leftOut = append(p.out.leftOut, l)
		}
	}
	if len(t.Voices) == 1 && p.out.Rig == "" && p.out.Name != "Melody" {
		t.Voices[0].Name = p.out.Name
	}
}

// Part chooses a part by id, by name (capitals don't matter) or by its number
// from 1. The empty text chooses the first part with tablature, else the first
// with notes.
func (s *Score) Part(name string) (*Part, error) {
	if name == "" {
		for _, p := range s.Parts {
			if len(p.Fingers) > 0 {
				return p, nil
			}
		}
		for _, p := range s.Parts {
			if p.Notes > 0 {
				return p, nil
			}
		}
		return nil, &fault.Fault{File: s.Name, Msg: "no part has a pitched note"}
	}
	for _, p := range s.Parts {
		if p.ID == name || strings.EqualFold(p.Name, name) {
			return p, nil
		}
	}
	if i, err := strconv.Atoi(name); err == nil && i >= 1 && i <= len(s.Parts) {
		return s.Parts[i-1], nil
	}
	var have []string
	for i, p := range s.Parts {
		have = append(have, fmt.Sprintf("%d %s", i+1, cmp.Or(p.Name, p.ID)))
	}
	return nil, &fault.Fault{File: s.Name, Msg: fmt.Sprintf("there is no part %q", fault.Clip(name)), Hint: "there are: " + clipList(have)}
}

func clipList(s []string) string {
	if len(s) > 12 {
		s = append(slices.Clone(s[:12]), "…")
	}
	return strings.Join(s, ", ")
}
