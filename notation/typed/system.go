package typed

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/notation/columns"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
)

// looseSystem is a group of string lines and what stands about it.
type looseSystem struct {
	strings []looseString      // string 1 first
	above   []columns.TextLine // from the top down
	below   []columns.TextLine
	number  int // of its first bar, when it stands at the left; 0 for none
}

// looseString is one string line.
type looseString struct {
	columns.TextLine
	label string
	runes []rune
	body  int             // rune column where the tab begins
	cells [][2]int        // bars: from and to, rune columns
	marks []columns.Glyph // the barlines between and around them, rune columns
	empty bool            // a string that the text leaves out
}

// tabMarks are the signs that can stand on a string line beside dashes, bars, numbers,
// blanks and capital letters.
const tabMarks = `:*ohpsbrvx/\~<>()[]{}.=^'`

// plainRunes brings typographic dashes and bars to plain ones.
func plainRunes(s string) []rune {
	if strings.Contains(s, "..") {
		s = strings.ReplaceAll(s, ".", "-") // dots in place of dashes
	}
	out := []rune(s)
	for i, c := range out {
		switch c {
		case '–', '—', '‒', '−', '─', '━', '_':
			out[i] = '-'
		case '│', '¦', '┃', '║':
			out[i] = '|'
		case '↗':
			out[i] = '/'
		case '↘':
			out[i] = '\\'
		case '∼', '≈':
			out[i] = '~'
		}
	}
	return out
}

// asString takes a line as a string line: a label or none, then dashes, bars
// and numbers.
func asString(l columns.TextLine) (looseString, bool) {
	s := looseString{TextLine: l, runes: plainRunes(l.Text)}
	i := slices.IndexFunc(s.runes, func(c rune) bool { return c == '|' || c == '-' })
	if i < 0 {
		return s, false
	}
	// A minus may belong to the label of a low octave; no rig is that low.
	s.label = strings.TrimSpace(string(s.runes[:i]))
	s.body = i
	if n, err := strconv.Atoi(s.label); (err != nil || n < 1 || n > 9999) && !isLabel(s.label) {
		// A string line may begin with a number, with no bar and no dash before.
		if s.label != "" && strings.Trim(s.label, "0123456789 ") == "" && len(s.label) <= 2 {
			s.label = ""
		} else {
			return s, false
		}
	}
	dashes, bars, digits, odd, letters := 0, 0, 0, 0, 0
	for _, c := range s.runes[i:] {
		switch {
		case c == '-':
			dashes++
		case c == '|':
			bars++
		case isDigit(c):
			digits++
		case c >= 'A' && c <= 'Z':
			letters++
		case c != ' ' && !strings.ContainsRune(tabMarks, c):
			odd++
		}
	}
	switch {
	case dashes >= 3 && odd+letters <= dashes/2:
		return s, bars+digits > 0 || s.label != "" || dashes >= 8
	case dashes >= 1 && bars >= 2 && odd+letters == 0:
		return s, true // a short bar
	case bars >= 2 && odd == 0 && letters <= digits && s.label != "":
		return s, true // blanks instead of dashes
	}
	return s, false
}

// isLabel reports whether a text can name a string: "", "G", "F#3", "e", "2",
// "1 D4", "3:".
func isLabel(s string) bool {
	s = strings.TrimRight(s, ":.)=")
	if s == "" {
		return true
	}
	num, note := splitLabel(s)
	return num > 0 || note != ""
}

// splitLabel takes a label apart: a string's number, 0 for none, and a note,
// "" for none.
func splitLabel(s string) (int, string) {
	words := strings.Fields(strings.TrimRight(s, ":.)="))
	if len(words) == 0 || len(words) > 2 {
		return 0, ""
	}
	num := 0
	if n, err := strconv.Atoi(strings.TrimRight(words[0], ":.)")); err == nil {
		if n < 1 || n > rig.MaxStrings {
			return 0, ""
		}
		num = n
		words = words[1:]
	}
	if len(words) == 0 {
		return num, ""
	}
	if _, err := pitch.ParseName(words[0]); err == nil {
		return num, words[0]
	}
	if _, err := pitch.ParseClass(words[0]); err == nil {
		return num, words[0]
	}
	return 0, ""
}

// barNumber takes a number that stands alone at the left of a system, before its
// first line, as a bar's number and no string's.
func (s *looseSystem) barNumber() {
	for i := range s.strings {
		if i > 0 && s.strings[i].label != "" {
			return
		}
	}
	n, err := strconv.Atoi(strings.TrimRight(s.strings[0].label, ":.)"))
	if err != nil || len(s.strings) == 1 {
		return
	}
	s.strings[0].label = ""
	s.number = n
}

// systemsOf finds the groups of string lines and the lines about them.
func systemsOf(lines []columns.TextLine, rg *rig.Rig, said *guesses) ([]*looseSystem, error) {
	n := len(rg.Strings)
	var systems []*looseSystem
	var free []columns.TextLine // lines since the last group
	type group struct {
		strings []looseString
		before  []columns.TextLine
	}
	var groups []group
	for i := 0; i < len(lines); {
		s, ok := asString(lines[i])
		if !ok {
			free = append(free, lines[i])
			i++
			continue
		}
		g := group{before: free}
		free = nil
		for ; ok; s, ok = asString(lines[i]) {
			g.strings = append(g.strings, s)
			i++
			if i == len(lines) {
				break
			}
		}
		if len(g.strings) < 3 && !slices.ContainsFunc(g.strings, func(s looseString) bool {
			return s.label != "" || slices.ContainsFunc(s.runes, func(c rune) bool { return c == '|' || isDigit(c) })
		}) {
			// A rule drawn across the page.
			free = append(append(g.before, lineOf(g.strings)...), free...)
			continue
		}
		groups = append(groups, g)
	}
	if len(groups) == 0 {
		last := columns.TextLine{Number: 1}
		if len(lines) > 0 {
			last = lines[0]
		}
		return nil, said.fatal(last, 0, "no lines of strings: tablature has a line of dashes and numbers for each string")
	}
	for _, g := range groups {
		labelled := 0
		for _, s := range g.strings {
			if s.label != "" {
				labelled++
			}
		}
		for len(g.strings) > 0 {
			sys := &looseSystem{}
			take := min(n, len(g.strings))
			sys.strings = g.strings[:take]
			g.strings = g.strings[take:]
			before := g.before
			g.before = nil
			// Lines right under a system, with a blank line after them, are its own.
			if k := slices.IndexFunc(before, func(l columns.TextLine) bool { return l.Text == "" }); k > 0 && len(systems) > 0 {
				systems[len(systems)-1].below = before[:k]
				before = before[k:]
			}
			sys.above = before
			if take < n && labelled < take {
				said.guess(sys.strings[take-1].TextLine, 0, "%d lines of strings, and the rig has %d: passed over", take, n)
				continue
			}
			sys.barNumber()
			systems = append(systems, sys)
		}
	}
	if len(systems) == 0 {
		return nil, said.found.FirstPerLine()
	}
	systems[len(systems)-1].below = free
	return systems, nil
}

func lineOf(ss []looseString) []columns.TextLine {
	var out []columns.TextLine
	for _, s := range ss {
		out = append(out, s.TextLine)
	}
	return out
}

// cutBars cuts every string line of a system at its barlines and checks that
// they agree. It reports false, with the place, when the system can't be read.
func (s *looseSystem) cutBars(said *guesses) bool {
	s.dashesBefore()
	votes := map[int]int{}
	for i := range s.strings {
		if l := &s.strings[i]; !l.empty {
			l.cut()
			votes[len(l.cells)]++
		}
	}
	// The count that most lines have is right; of equals the larger.
	bars := 0
	for n, v := range votes {
		if v > votes[bars] || v == votes[bars] && n > bars {
			bars = n
		}
	}
	var model *looseString
	for i := range s.strings {
		if l := &s.strings[i]; !l.empty && len(l.cells) == bars {
			model = l
			break
		}
	}
	if bars == 0 {
		said.guess(model.TextLine, model.body, "no bars on this line: the system is passed over")
		return false
	}
	for i := range s.strings {
		l := &s.strings[i]
		if l.empty || len(l.cells) == bars {
			continue
		}
		at := l.astray(model)
		if l.cutLike(model) {
			said.guess(l.TextLine, at, "%s on this line and %s on the line of string %d: cut like that one", say.Count(len(l.cells), "bar"), say.Count(bars, "bar"), s.numberOf(model))
			l.cells, l.marks = model.cells, model.marks
			continue
		}
		said.guess(l.TextLine, at, "%s on this line and %s on the line of string %d: the system is passed over", say.Count(len(l.cells), "bar"), say.Count(bars, "bar"), s.numberOf(model))
		return false
	}
	return true
}

// dashesBefore passes over the dash or two that some put between a string's
// name and the barline that its line begins with ("D-|--0--"), when no string
// has more there than that: a bar as short as that holds nothing.
func (s *looseSystem) dashesBefore() {
	const most = 2
	lengths := make([]int, len(s.strings))
	for i, l := range s.strings {
		if l.empty {
			continue
		}
		n := slices.IndexFunc(l.runes[l.body:], func(c rune) bool { return c != '-' })
		if l.label == "" || n < 0 || n > most || l.runes[l.body+n] != '|' {
			return
		}
		lengths[i] = n
	}
	for i := range s.strings {
		s.strings[i].body += lengths[i]
	}
}

// cutLike reports whether a line can be cut where another has its barlines: it is
// as long, and no number stands there.
func (l *looseString) cutLike(o *looseString) bool {
	if len(l.runes) != len(o.runes) || l.body != o.body {
		return false
	}
	for _, g := range o.marks {
		for i := g.From; i < g.To; i++ {
			if !strings.ContainsRune("-| :", l.runes[i]) {
				return false
			}
		}
	}
	// A barline where the other has none would stand inside a bar.
	for _, c := range o.cells {
		if strings.ContainsRune(string(l.runes[c[0]:c[1]]), '|') {
			return false
		}
	}
	return true
}

// astray returns the column of the first barline that one of two lines has and
// the other has not.
func (l *looseString) astray(o *looseString) int {
	for i := range max(len(l.marks), len(o.marks)) {
		switch {
		case i >= len(l.marks):
			return o.marks[i].From
		case i >= len(o.marks):
			return l.marks[i].From
		case l.marks[i].From > o.marks[i].From+2:
			return o.marks[i].From
		case o.marks[i].From > l.marks[i].From+2:
			return l.marks[i].From
		}
	}
	return l.body
}

func (s *looseSystem) numberOf(l *looseString) int {
	for i := range s.strings {
		if &s.strings[i] == l {
			return i + 1
		}
	}
	return 0
}

// cut finds the barlines of a string line and the bars between them.
func (l *looseString) cut() {
	end := len(l.runes)
	at := l.body
	isMark := func(i int) bool {
		if i < 0 || i >= end {
			return false
		}
		return strings.ContainsRune(":*o", l.runes[i])
	}
	add := func(from, to int) {
		if to-from > 1 || to > from && l.runes[from] != ' ' {
			l.cells = append(l.cells, [2]int{from, to})
		}
	}
	// Numbers may stand before the first dash.
	for l.label == "" && at > 0 && isDigit(l.runes[at-1]) {
		at--
	}
	from := at
	for i := at; i < end; i++ {
		if l.runes[i] != '|' {
			continue
		}
		g := columns.Glyph{From: i, To: i + 1}
		for g.To < end && l.runes[g.To] == '|' {
			g.To++
		}
		if isMark(i - 1) {
			g.From--
		}
		if isMark(g.To) {
			g.To++
		}
		g.Text = string(l.runes[g.From:g.To])
		add(from, g.From)
		l.marks = append(l.marks, g)
		from = g.To
		i = g.To - 1
	}
	// What stands after the last barline is a bar of its own only when it
	// looks like one.
	rest := string(l.runes[from:end])
	if strings.Contains(rest, "--") || strings.Trim(rest, "- ") != "" && len(l.marks) == 0 {
		l.cells = append(l.cells, [2]int{from, end})
		l.marks = append(l.marks, columns.Glyph{From: end, To: end, Text: ""})
	}
	if len(l.marks) == len(l.cells) {
		l.marks = slices.Insert(l.marks, 0, columns.Glyph{From: at, To: at, Text: ""})
	}
}
