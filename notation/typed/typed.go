package typed

import (
	"fmt"
	"lapwright/notation/columns"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/tab"
	"lapwright/tune"
)

// loose reads tablature as players type it.
type loose struct {
	file  string
	lines []columns.TextLine
	rig   *rig.Rig
	found fault.List // guesses, and what was passed over

	head   heading
	blocks []*looseSystem
	top    bool // string 1 on top
	known  bool // top is known from labels
}

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

// maxSaid bounds how many guesses are listed.
const maxSaid = 1000

func (r *loose) guess(l columns.TextLine, col int, format string, args ...any) {
	if len(r.found) > maxSaid {
		return
	}
	if len(r.found) == maxSaid {
		format, args = "more was guessed or passed over than is listed", nil
	}
	r.found.Add(&fault.Fault{File: r.file, Line: l.Number, Col: l.ByteAt(col) + 1, Msg: fmt.Sprintf(format, args...)})
}

func (r *loose) fatal(l columns.TextLine, col int, format string, args ...any) error {
	return fault.List{{File: r.file, Line: l.Number, Col: l.ByteAt(col) + 1, Msg: fmt.Sprintf(format, args...)}}
}

// Parse reads a tab as players type it. r is the rig it is for, without its
// capo; file names the text in messages. The list holds what was guessed or
// passed over, with line and column, and what tab.Check finds (a bar that can't
// be laid so, a held note moved), with bar and beat.
//
// When nothing can be made of the text the error is a fault.List. Every fault
// with a line carries that line and a caret in Shown.
func Parse(src []byte, file string, r *rig.Rig) (*tab.Tab, fault.List, error) {
	lines, err := columns.Cut(src, file, r)
	if err != nil {
		return nil, nil, err
	}
	t, said, err := readLoose(lines, file, r)
	columns.Show(lines, said)
	if list, ok := err.(fault.List); ok {
		columns.Show(lines, list)
	}
	return t, said, err
}

// readLoose reads a text that is not in the exact form.
func readLoose(lines []columns.TextLine, file string, rg *rig.Rig) (*tab.Tab, fault.List, error) {
	r := &loose{file: file, lines: lines, rig: rg, top: true, head: heading{capo: -1}}
	if err := r.collect(); err != nil {
		return nil, nil, err
	}
	if err := r.heading(); err != nil {
		return nil, nil, err
	}
	if err := r.order(); err != nil {
		return nil, nil, err
	}
	var kept []*looseSystem
	for _, s := range r.blocks {
		if r.cutBars(s) {
			kept = append(kept, s)
		}
	}
	r.blocks = kept
	if len(r.blocks) == 0 {
		return nil, nil, r.found.FirstPerLine()
	}
	g, err := r.grid()
	if err != nil {
		return nil, nil, err
	}
	t, faults := g.Derive(file)
	if len(faults) > 0 {
		return nil, nil, faults.FirstPerLine()
	}
	for i := range t.Tune.Bars {
		b := &t.Tune.Bars[i]
		for v := range b.Lines {
			for e, end := range columns.Beamed(b, v, columns.BeamBeats) {
				b.Lines[v][e].BeamEnd = end
			}
		}
	}
	if err := columns.CheckRead(t, file); err != nil {
		return nil, nil, err
	}
	r.found.Sort()
	return t, append(r.found, placed(g, columns.CheckTab(t, file))...), nil
}

// placed returns faults that name a bar and beat the place in the text where the
// numbers of that instant stand.
func placed(g *columns.Grid, list fault.List) fault.List {
	for _, f := range list {
		for i := range g.Bars {
			if f.Bar != strconv.Itoa(g.Tune.Bars[i].Number) || f.Line > 0 {
				continue
			}
			for _, col := range g.Bars[i].Columns {
				if col.At.String() != f.Beat {
					continue
				}
				p := col.Cells[0].Place
				for _, c := range col.Cells {
					if c.Str == f.Str {
						p = c.Place
					}
				}
				f.Line, f.Col = p.Line, p.Col
			}
		}
	}
	return list
}

// tabRune reports whether a character can stand on a string line.
func tabRune(c rune) bool {
	return c >= '0' && c <= '9' || strings.ContainsRune(`-|:*ohpsbrvxX/\~<>()[]{}.=^' `, c) || c >= 'A' && c <= 'Z'
}

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
		case c >= '0' && c <= '9':
			digits++
		case c == ' ':
		case !tabRune(c):
			odd++
		case c >= 'A' && c <= 'Z':
			letters++
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
func (r *loose) barNumber(s *looseSystem) {
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

// collect finds the groups of string lines and the lines about them.
func (r *loose) collect() error {
	n := len(r.rig.Strings)
	var free []columns.TextLine // lines since the last group
	type group struct {
		strings []looseString
		before  []columns.TextLine
	}
	var groups []group
	for i := 0; i < len(r.lines); {
		s, ok := asString(r.lines[i])
		if !ok {
			free = append(free, r.lines[i])
			i++
			continue
		}
		g := group{before: free}
		free = nil
		for ; ok; s, ok = asString(r.lines[i]) {
			g.strings = append(g.strings, s)
			i++
			if i == len(r.lines) {
				break
			}
		}
		if len(g.strings) < 3 && !slices.ContainsFunc(g.strings, func(s looseString) bool {
			return s.label != "" || slices.ContainsFunc(s.runes, func(c rune) bool { return c == '|' || c >= '0' && c <= '9' })
		}) {
			// A rule drawn across the page.
			free = append(append(g.before, lineOf(g.strings)...), free...)
			continue
		}
		groups = append(groups, g)
	}
	if len(groups) == 0 {
		last := columns.TextLine{Number: 1}
		if len(r.lines) > 0 {
			last = r.lines[0]
		}
		return r.fatal(last, 0, "no lines of strings: tablature has a line of dashes and numbers for each string")
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
			if k := slices.IndexFunc(before, func(l columns.TextLine) bool { return l.Text == "" }); k > 0 && len(r.blocks) > 0 {
				r.blocks[len(r.blocks)-1].below = before[:k]
				before = before[k:]
			}
			sys.above = before
			if take < n && labelled < take {
				r.guess(sys.strings[take-1].TextLine, 0, "%d lines of strings, and the rig has %d: passed over", take, n)
				continue
			}
			r.barNumber(sys)
			r.blocks = append(r.blocks, sys)
		}
	}
	if len(r.blocks) == 0 {
		return r.found.FirstPerLine()
	}
	r.blocks[len(r.blocks)-1].below = free
	return nil
}

func lineOf(ss []looseString) []columns.TextLine {
	var out []columns.TextLine
	for _, s := range ss {
		out = append(out, s.TextLine)
	}
	return out
}

// order finds which line is string 1, and puts the lines of every system in
// that order.
func (r *loose) order() error {
	n := len(r.rig.Strings)
	for _, s := range r.blocks {
		up, down, why := r.fits(s)
		switch {
		case up && !down:
			if r.known && !r.top {
				return r.fatal(s.strings[0].TextLine, 0, "string 1 is on top here, and at the bottom in a system above")
			}
			r.top, r.known = true, true
		case down && !up:
			if r.known && r.top {
				return r.fatal(s.strings[0].TextLine, 0, "string 1 is at the bottom here, and on top in a system above")
			}
			r.top, r.known = false, true
		case !up && !down:
			return why
		}
	}
	first := r.blocks[0].strings[0]
	if !r.known {
		r.guess(first.TextLine, 0, "the top line is taken as string 1")
	} else if !r.top {
		r.guess(first.TextLine, 0, "string 1 is the lowest line, by the names of the strings")
	}
	for _, s := range r.blocks {
		lines := s.strings
		if !r.top {
			slices.Reverse(lines)
		}
		out := make([]looseString, n)
		for i := range out {
			out[i].empty = true
		}
		if len(lines) == n {
			copy(out, lines)
		} else {
			at := 0
			for _, l := range lines {
				str, fit := r.nextFit(l.label, at)
				if fit == disagrees {
					return r.fatal(l.TextLine, 0, "no string left for %q", l.label)
				}
				out[str-1], at = l, str
			}
			r.guess(lines[0].TextLine, 0, "%d of %d strings are written: the others are silent", len(lines), n)
		}
		for i, l := range out {
			if l.label != "" && r.labelFits(l.label, i+1) == byLetter {
				r.guess(l.TextLine, 0, "%q is taken as the string %s, by its place among the others", l.label, r.rig.TunedNames()[i])
			}
		}
		s.strings = out
	}
	return nil
}

// agreement is how a line's name agrees with a string of the rig.
type agreement int

const (
	disagrees agreement = iota
	byLetter            // the letter is right, and a sharp or flat is left out
	agrees
)

// fits reports whether the labels of a system agree with the rig when string 1
// is on top, and when it is at the bottom; why is the fault when neither. A
// label that leaves out its sharp or flat counts where the others bear it out.
func (r *loose) fits(s *looseSystem) (up, down bool, why error) {
	n := len(r.rig.Strings)
	if len(s.strings) < n {
		return r.fitsSome(s)
	}
	labelled := false
	var bad *looseString
	var counts [2][3]int // from the top and from the bottom, by agreement
	for i := range s.strings {
		l := &s.strings[i]
		if l.label == "" {
			continue
		}
		labelled = true
		fit := r.labelFits(l.label, i+1)
		if fit != agrees && bad == nil {
			bad = l
		}
		counts[0][fit]++
		counts[1][r.labelFits(l.label, n-i)]++
	}
	if !labelled {
		return true, true, nil
	}
	up, down = settled(counts[0], counts[1])
	if !up && !down {
		return false, false, r.fatal(bad.TextLine, 0, "the line named %q fits no string of the rig %q (%s) in this place", bad.label, r.rig.Name, r.rig.TuningText())
	}
	return up, down, nil
}

// settled decides by how the labels agree either way round: whole names first,
// and letters alone only when most of the names are whole.
func settled(top, bottom [3]int) (up, down bool) {
	up, down = top[disagrees]+top[byLetter] == 0, bottom[disagrees]+bottom[byLetter] == 0
	if !up && !down {
		up = top[disagrees] == 0 && top[byLetter] < top[agrees]
		down = bottom[disagrees] == 0 && bottom[byLetter] < bottom[agrees]
	}
	return up, down
}

// fitsSome is fits for a system that leaves strings out.
func (r *loose) fitsSome(s *looseSystem) (up, down bool, why error) {
	run := func(reverse bool) (counts [3]int) {
		lines := slices.Clone(s.strings)
		if reverse {
			slices.Reverse(lines)
		}
		at := 0
		for _, l := range lines {
			str, fit := r.nextFit(l.label, at)
			counts[fit]++
			at = str
		}
		return counts
	}
	up, down = settled(run(false), run(true))
	if !up && !down {
		return false, false, r.fatal(s.strings[0].TextLine, 0, "the lines named here fit no strings of the rig %q (%s)", r.rig.Name, r.rig.TuningText())
	}
	return up, down, nil
}

// nextFit finds the first string after string past that a label can name,
// a whole name before a letter alone. When there is none, it disagrees.
func (r *loose) nextFit(label string, past int) (str int, fit agreement) {
	for _, least := range []agreement{agrees, byLetter} {
		for s := past + 1; s <= len(r.rig.Strings); s++ {
			if fit := r.labelFits(label, s); fit >= least {
				return s, fit
			}
		}
	}
	return past, disagrees
}

// labelFits tells how a label agrees with string s. A string goes by what it is
// tuned to, or by what it sounds at the capo.
func (r *loose) labelFits(label string, s int) agreement {
	num, note := splitLabel(label)
	if num > 0 && num != s {
		return disagrees
	}
	if note == "" {
		if num > 0 {
			return agrees
		}
		return disagrees
	}
	best := disagrees
	for _, open := range []pitch.Name{r.rig.TunedNames()[s-1], r.rig.Strings[s-1].Open} {
		switch c, err := pitch.ParseClass(note); {
		case namesPitch(note, open):
			return agrees
		case err == nil && c.Alter == 0 && c.Letter == open.Letter:
			best = byLetter
		}
	}
	return best
}

// namesPitch reports whether a note, with or without its octave, is that pitch.
func namesPitch(note string, open pitch.Name) bool {
	if name, err := pitch.ParseName(note); err == nil {
		return name.Key() == open.Key()
	}
	c, err := pitch.ParseClass(note)
	return err == nil && c.Semitone() == open.Semitone()
}

// cutBars cuts every string line of a system at its barlines and checks that
// they agree. It reports false, with the place, when the system can't be read.
func (r *loose) cutBars(s *looseSystem) bool {
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
		r.guess(model.TextLine, model.body, "no bars on this line: the system is passed over")
		return false
	}
	for i := range s.strings {
		l := &s.strings[i]
		if l.empty || len(l.cells) == bars {
			continue
		}
		at := l.astray(model)
		if l.cutLike(model) {
			r.guess(l.TextLine, at, "%s on this line and %s on the line of string %d: cut like that one", say.Count(len(l.cells), "bar"), say.Count(bars, "bar"), r.numberOf(s, model))
			l.cells, l.marks = model.cells, model.marks
			continue
		}
		r.guess(l.TextLine, at, "%s on this line and %s on the line of string %d: the system is passed over", say.Count(len(l.cells), "bar"), say.Count(bars, "bar"), r.numberOf(s, model))
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

func (r *loose) numberOf(s *looseSystem, l *looseString) int {
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
	if at > 0 && l.label == "" {
		k := at
		for k > 0 && l.runes[k-1] >= '0' && l.runes[k-1] <= '9' {
			k--
		}
		at = k
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
		if len(l.marks) > 0 || g.From > at {
			add(from, g.From)
		}
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

// tuneOf starts the tune of a text.
func (r *loose) tuneOf() *tune.Tune {
	return &tune.Tune{Title: r.head.title, Subtitles: r.head.subtitles, Composer: r.head.composer, Notes: r.head.notes,
		Voices: []tune.Voice{columns.OnlyVoice}}
}
