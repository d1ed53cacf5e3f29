package tabtext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/inorder"
	"lapwright/notation/columns"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// fineReader puts right what the columns left open.
type fineReader struct {
	t       *tab.Tab
	file    string
	line    columns.TextLine
	at      int // byte of the values
	fault   *fault.Fault
	strokes map[strokeKey]bool // already replaced
	beams   map[[2]int]bool    // given
	rule    string             // for the others
}

type strokeKey struct {
	bar int
	at  tune.Ticks
}

// applyFinePrint reads the lines below the systems.
func applyFinePrint(t *tab.Tab, lines []columns.TextLine, file string) error {
	f := &fineReader{t: t, file: file, strokes: map[strokeKey]bool{}, beams: map[[2]int]bool{}, rule: columns.BeamBeats}
	for _, l := range lines {
		if l.Text == "" {
			continue
		}
		f.line = l
		f.read()
		if f.fault != nil {
			return fault.List{f.fault}
		}
	}
	for i := range t.Tune.Bars {
		b := &t.Tune.Bars[i]
		for v := range b.Lines {
			if f.beams[[2]int{i, v}] {
				continue
			}
			for e, end := range columns.Beamed(b, v, f.rule) {
				b.Lines[v][e].BeamEnd = end
			}
		}
	}
	inorder.Stable(t.Strokes, func(a, b tab.Stroke) int {
		if a.BarIndex != b.BarIndex {
			return a.BarIndex - b.BarIndex
		}
		return int(min(max(a.At-b.At, -1), 1))
	})
	return nil
}

func (f *fineReader) fail(byteAt int, format string, args ...any) {
	if f.fault == nil {
		f.fault = columns.FaultAt(f.file, f.line, byteAt, fmt.Sprintf(format, args...))
	}
}

func (f *fineReader) read() {
	head, rest, ok := strings.Cut(f.line.Text, ":")
	f.at = len(head) + 1
	word, what, _ := strings.Cut(head, " ")
	if !ok {
		f.fail(0, "a line of the fine print such as \"marks 1.1.1: fermata\" expected")
		return
	}
	rest = strings.TrimSpace(rest)
	switch word {
	case "breaks":
		for _, w := range strings.Fields(rest) {
			if b := f.barOf(w); b != nil {
				b.LineBreak = true
			}
		}
	case "left", "right":
		b := f.barOf(what)
		if b == nil {
			return
		}
		l, ok := parseLine(rest)
		if !ok {
			f.fail(f.at, "a barline such as \"final 1\" expected, not %q", fault.Clip(rest))
			return
		}
		if word == "left" {
			b.Left = l
		} else {
			b.Right = l
		}
	case "beams":
		if what == "" {
			if f.rule = rest; !slices.Contains(columns.BeamRules, rest) {
				f.fail(f.at, "one of %s expected, not %q", strings.Join(columns.BeamRules, ", "), fault.Clip(rest))
			}
			return
		}
		for i, part := range strings.Split(rest, ";") {
			if i > 0 {
				what, part, _ = strings.Cut(part, ":")
			}
			f.readBeams(strings.TrimSpace(what), strings.TrimSpace(part))
		}
	case "notes", "marks", "lyrics":
		ref, ok := f.ref(what, false)
		if !ok {
			return
		}
		e := &f.t.Tune.Bars[ref.Bar].Lines[ref.Voice][ref.Event]
		switch word {
		case "notes":
			f.readNotes(ref, e, rest)
		case "marks":
			f.readMarks(e, rest)
		case "lyrics":
			f.readLyrics(e, rest)
		}
	case "stroke":
		f.readStroke(what, rest)
	case "added":
		a, ok := tab.ParseAdded(rest)
		if !ok || f.t.Tune.Note(a.Ref) == nil || a.String > len(f.t.Rig.Strings) {
			f.fail(f.at, "an addition such as `joined 3.1.2n1 bar 3 at 1/8 string 2 F#4` expected, not %q", fault.Clip(rest))
			return
		}
		f.t.Added = append(f.t.Added, a)
	case "left-out":
		l, ok := tab.ParseLeftOut(rest)
		if !ok || l.BarIndex >= len(f.t.Tune.Bars) || l.Voice >= len(f.t.Tune.Bars[l.BarIndex].Lines) || l.At+l.Len > f.t.Tune.Bars[l.BarIndex].Len {
			f.fail(f.at, "a note of the tune such as `3.1 at 1/8 len 1/8 F#4` expected, not %q", fault.Clip(rest))
			return
		}
		f.t.LeftOut = append(f.t.LeftOut, l)
	case "compromise":
		f.readCompromise(what, rest)
	default:
		f.fail(0, "unknown fine print %q", fault.Clip(word))
	}
}

func (f *fineReader) barOf(w string) *tune.Bar {
	n, err := strconv.Atoi(w)
	if err != nil || n < 1 || n > len(f.t.Tune.Bars) {
		f.fail(0, "a written bar from 1 to %d expected, not %q", len(f.t.Tune.Bars), fault.Clip(w))
		return nil
	}
	return &f.t.Tune.Bars[n-1]
}

func parseLine(s string) (tune.Barline, bool) {
	words := strings.Fields(s)
	if len(words) == 0 || len(words) > 2 {
		return tune.Barline{}, false
	}
	for style, w := range styleWords {
		if w != words[0] {
			continue
		}
		l := tune.Barline{Style: style}
		if len(words) == 2 {
			n, err := strconv.Atoi(words[1])
			if err != nil || n < 1 || n > tune.MaxRepeats {
				return l, false
			}
			l.Repeat = n
		}
		return l, true
	}
	return tune.Barline{}, false
}

// ref reads a place in the tune, with or without a note.
func (f *fineReader) ref(s string, note bool) (tune.Ref, bool) {
	r := tune.Ref{Grace: -1}
	rest := s
	n := -1
	if i := strings.IndexByte(rest, 'n'); i >= 0 {
		n, _ = strconv.Atoi(rest[i+1:])
		rest = rest[:i]
		r.Note = n - 1
	}
	if i := strings.IndexByte(rest, 'g'); i >= 0 {
		g, _ := strconv.Atoi(rest[i+1:])
		rest = rest[:i]
		r.Grace = g - 1
		if g < 1 {
			f.fail(0, "a grace counted from 1 expected in %q", fault.Clip(s))
			return r, false
		}
	}
	parts := strings.Split(rest, ".")
	if len(parts) != 3 || (note && n < 1) || (!note && n >= 0) {
		f.fail(0, "a place such as %q expected, not %q", map[bool]string{true: "3.1.2n1", false: "3.1.2"}[note], fault.Clip(s))
		return r, false
	}
	var at [3]int
	for i, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || n < 1 {
			f.fail(0, "a place such as \"3.1.2\" expected, not %q", fault.Clip(s))
			return r, false
		}
		at[i] = n - 1
	}
	r.Bar, r.Voice, r.Event = at[0], at[1], at[2]
	u := f.t.Tune
	if r.Bar >= len(u.Bars) || r.Voice >= len(u.Bars[r.Bar].Lines) || r.Event >= len(u.Bars[r.Bar].Lines[r.Voice]) ||
		r.Grace >= len(u.Bars[r.Bar].Lines[r.Voice][r.Event].Graces) {
		f.fail(0, "there is nothing at %q", fault.Clip(s))
		return r, false
	}
	return r, true
}

func (f *fineReader) readBeams(what, rest string) {
	ref, ok := f.ref(what+".1", false)
	if !ok {
		return
	}
	events := f.t.Tune.Bars[ref.Bar].Lines[ref.Voice]
	for i := range events {
		events[i].BeamEnd = false
	}
	f.beams[[2]int{ref.Bar, ref.Voice}] = true
	if rest == "none" {
		return
	}
	for _, w := range strings.Fields(rest) {
		n, err := strconv.Atoi(w)
		if err != nil || n < 1 || n > len(events) {
			f.fail(f.at, "an event from 1 to %d expected, not %q", len(events), fault.Clip(w))
			return
		}
		events[n-1].BeamEnd = true
	}
}

// readNotes replaces the notes of an event or grace. Plucks that then point at
// other notes have lines of their own.
func (f *fineReader) readNotes(ref tune.Ref, e *tune.Event, rest string) {
	var notes []tune.Note
	if rest != "none" {
		for _, w := range strings.Fields(rest) {
			n, ok := parseNote(w)
			if !ok {
				f.fail(f.at, "a note such as \"Bb3!\" expected, not %q", fault.Clip(w))
				return
			}
			notes = append(notes, n)
		}
	}
	if ref.Grace >= 0 {
		e.Graces[ref.Grace].Notes = notes
		return
	}
	e.Notes = notes
}

func parseNote(w string) (tune.Note, bool) {
	end := 1
	for end < len(w) && (w[end] == '#' || w[end] == 'b') {
		end++
	}
	if end < len(w) && w[end] == '-' {
		end++
	}
	for end < len(w) && w[end] >= '0' && w[end] <= '9' {
		end++
	}
	if end > len(w) {
		return tune.Note{}, false
	}
	name, err := pitch.ParseName(w[:end])
	if err != nil {
		return tune.Note{}, false
	}
	n := tune.Note{Name: name}
	for i, c := range w[end:] {
		switch c {
		case '!':
			n.Show = true
		case '?':
			n.Courtesy = true
		case '-':
			n.Tie = true
		case '/':
			n.Glide = true
		case 'x':
			n.Chop = true
		case 's':
			s, err := strconv.ParseInt(w[end+i+1:], 10, 8)
			n.Scoop = int8(s)
			return n, err == nil
		default:
			return n, false
		}
	}
	return n, true
}

func (f *fineReader) readMarks(e *tune.Event, rest string) {
	e.Marks = nil
	for _, w := range strings.Fields(rest) {
		found := false
		for m, name := range markWords {
			if name == w {
				e.Marks = append(e.Marks, m)
				found = true
			}
		}
		if !found {
			f.fail(f.at, "unknown mark %q", fault.Clip(w))
			return
		}
	}
}

func (f *fineReader) readLyrics(e *tune.Event, rest string) {
	e.Lyrics = nil
	for _, sp := range columns.NewTextLine(0, rest).Words(0, len(rest)) {
		q := strings.IndexByte(sp.Text, '"')
		if q < 1 {
			f.fail(f.at, "a syllable such as `1\"text\"` expected, not %q", fault.Clip(sp.Text))
			return
		}
		n, err := strconv.Atoi(sp.Text[:q])
		y, ok := scanLyric(sp.Text[q:])
		if err != nil || !ok || n < 1 {
			f.fail(f.at, "a syllable such as `1\"text\"` expected, not %q", fault.Clip(sp.Text))
			return
		}
		y.Verse = n
		e.Lyrics = append(e.Lyrics, y)
	}
}

func (f *fineReader) readStroke(what, rest string) {
	barText, atText, _ := strings.Cut(what, " ")
	if f.barOf(barText) == nil {
		return
	}
	n, _ := strconv.Atoi(barText)
	at, ok := columns.ParseFraction(atText)
	if !ok {
		f.fail(0, "a time such as \"1/4\" expected, not %q", fault.Clip(atText))
		return
	}
	k := strokeKey{n - 1, at}
	if !f.strokes[k] {
		f.strokes[k] = true
		f.t.Strokes = slices.DeleteFunc(f.t.Strokes, func(s tab.Stroke) bool { return s.BarIndex == k.bar && s.At == k.at })
	}
	if rest == "none" {
		return
	}
	s := tab.Stroke{BarIndex: k.bar, At: k.at}
	parts := strings.Split(rest, "|")
	words := strings.Fields(parts[0])
	for i := 0; i < len(words); i++ {
		switch w := words[i]; {
		case w == "len" && i+1 < len(words):
			i++
			if s.Len, ok = columns.ParseFraction(words[i]); !ok {
				f.fail(f.at, "a length such as \"1/4\" expected, not %q", fault.Clip(words[i]))
			}
		case w == "grace":
			s.Grace = true
		default:
			st, want := scanSteel(w)
			if want != "" {
				f.fail(f.at, "%s, not %q", want, fault.Clip(w))
				return
			}
			if st.Laid {
				s.Placement = st.Placement
			}
			set, bad := columns.BenderSet(f.t.Rig, st.Benders)
			if bad != "" {
				f.fail(f.at, "the rig has no bender %q", bad)
			}
			s.Benders |= set
		}
	}
	for _, part := range parts[1:] {
		s.Plucks = append(s.Plucks, f.pluck(strings.Fields(part)))
		if f.fault != nil {
			return
		}
	}
	f.t.Strokes = append(f.t.Strokes, s)
}

// pluck reads one pluck of a stroke: string, fret, note and what else there is.
func (f *fineReader) pluck(words []string) tab.Pluck {
	var p tab.Pluck
	bad := func(w string) tab.Pluck {
		f.fail(f.at, "a note such as \"1 5 3.1.2n1 picked len 1/4\" expected, not %q", fault.Clip(w))
		return p
	}
	if len(words) < 3 {
		return bad(strings.Join(words, " "))
	}
	var err error
	if p.String, err = strconv.Atoi(words[0]); err != nil || p.String < 1 || p.String > len(f.t.Rig.Strings) {
		return bad(words[0])
	}
	if p.Fret, err = strconv.ParseFloat(words[1], 64); err != nil || !(p.Fret >= 0 && p.Fret <= 99) {
		return bad(words[1])
	}
	var ok bool
	if p.Ref, ok = f.ref(words[2], true); !ok {
		return p
	}
	if f.t.Tune.Note(p.Ref) == nil {
		f.fail(f.at, "there is no note at %q", fault.Clip(words[2]))
		return p
	}
	for i := 3; i < len(words); i++ {
		w := words[i]
		next := ""
		if i+1 < len(words) {
			next = words[i+1]
		}
		known := true
		switch w {
		case "len":
			if p.Len, ok = columns.ParseFraction(next); !ok {
				return bad(next)
			}
			i++
		case "scoop":
			if p.Scoop, err = strconv.ParseFloat(next, 64); err != nil || !(p.Scoop >= -99 && p.Scoop <= 99) {
				return bad(next)
			}
			i++
		case "node":
			n, err := strconv.ParseInt(next, 10, 8)
			if err != nil {
				return bad(next)
			}
			p.Node = int8(n)
			i++
		case "glide":
			p.Glide = true
		case "vibrato":
			p.Vibrato = true
		case "damp":
			p.Damp = true
		case "T", "I", "M":
			p.Finger = tab.Finger(strings.IndexByte("-TIM", w[0]))
		default:
			known = false
			for a, name := range attackWords {
				if name == w {
					p.Attack, known = a, true
				}
			}
		}
		if !known {
			return bad(w)
		}
	}
	return p
}

func (f *fineReader) readCompromise(what, rest string) {
	c := tab.Compromise{}
	var ok bool
	if c.Ref, ok = f.ref(what, true); !ok {
		return
	}
	l := columns.NewTextLine(0, rest)
	words := l.Words(0, len(rest))
	if len(words) != 10 {
		f.fail(f.at, "a form such as `bar 3 at 1/4 wanted \"F#4\" got \"nothing\" why \"…\"` expected")
		return
	}
	for i, name := range []string{"bar", "at", "wanted", "got", "why"} {
		value := words[2*i+1].Text
		good := words[2*i].Text == name
		switch name {
		case "bar":
			n, err := strconv.Atoi(value)
			c.BarNumber, good = n, good && err == nil
		case "at":
			at, ok := columns.ParseFraction(value)
			c.At, good = at, good && ok
		default:
			text, n, ok := columns.ScanQuoted(value)
			good = good && ok && n == len(value)
			switch name {
			case "wanted":
				c.Wanted = text
			case "got":
				c.Got = text
			case "why":
				c.Why = text
			}
		}
		if !good {
			f.fail(f.at, "%q and its value expected, not %q", name, fault.Clip(words[2*i].Text+" "+value))
			return
		}
	}
	if n := f.t.Tune.Note(c.Ref); n != nil {
		c.Kind = tab.ReadKind(n.Name.String(), c.Wanted, c.Got)
	}
	f.t.Compromises = append(f.t.Compromises, c)
}
