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
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// reader reads the exact form.
type reader struct {
	file   string
	lines  []columns.TextLine
	at     int
	rig    *rig.Rig // as given by the caller
	grid   columns.Grid
	faults fault.List
	trans  int

	key       pitch.Key
	meter     tune.Meter
	tempo     *tune.Tempo
	beforeBar *tune.Bar
}

func (r *reader) fail(l columns.TextLine, byteAt int, format string, args ...any) {
	r.faults.Add(columns.FaultAt(r.file, l, byteAt, fmt.Sprintf(format, args...)))
}

// readExact reads the exact form: the header, the systems, the fine print.
func readExact(lines []columns.TextLine, file string, rg *rig.Rig) (*tab.Tab, error) {
	t, g, fine, err := readGrid(lines, file, rg)
	if err != nil {
		return nil, err
	}
	if err := applyFinePrint(t, fine, file); err != nil {
		return nil, err
	}
	if faults := silent(g, file); len(faults) > 0 {
		return nil, faults.FirstPerLine()
	}
	if err := columns.CheckRead(t, file); err != nil {
		return nil, err
	}
	return t, nil
}

// readGrid reads the header and the systems, and gives the lines of the fine
// print.
func readGrid(lines []columns.TextLine, file string, rg *rig.Rig) (*tab.Tab, *columns.Grid, []columns.TextLine, error) {
	r := &reader{file: file, lines: lines, rig: rg}
	r.grid.Tune = &tune.Tune{}
	r.header()
	var fine []columns.TextLine
	for r.at < len(r.lines) && len(r.faults) == 0 {
		l := r.lines[r.at]
		if l.Text == "" {
			r.at++
			continue
		}
		if l.Text == finePrintLabel {
			fine = r.lines[r.at+1:]
			break
		}
		end := r.at
		for end < len(r.lines) && r.lines[end].Text != "" {
			end++
		}
		r.system(r.lines[r.at:end])
		r.at = end
	}
	if len(r.faults) == 0 && len(r.grid.Bars) == 0 {
		r.faults.Add(&fault.Fault{File: file, Line: max(len(lines), 1), Col: 1, Msg: "no lines of strings below the heading"})
	}
	if len(r.faults) > 0 {
		return nil, nil, nil, r.faults.FirstPerLine()
	}
	t, faults := r.grid.Derive(file)
	if len(faults) > 0 {
		return nil, nil, nil, faults.FirstPerLine()
	}
	t.Transposed = r.trans
	return t, &r.grid, fine, nil
}

// silent lists the letters of the rhythm line under which no number stands and
// to which the fine print gives no note.
func silent(g *columns.Grid, file string) fault.List {
	var out fault.List
	for b := range g.Bars {
		for v := range g.Bars[b].Rhythm {
			for e, re := range g.Bars[b].Rhythm[v] {
				ev := &g.Tune.Bars[b].Lines[v][e]
				if ev.Kind == tune.Sounding && len(ev.Notes) == 0 {
					out.Add(&fault.Fault{File: file, Line: re.Place.Line, Col: re.Place.Col, Msg: "no number stands under this letter", Hint: "a rest is written with an r before the letter"})
				}
			}
		}
	}
	return out
}

// stringLabel takes the label of a string line apart: its number and where its
// first barline stands.
func stringLabel(l columns.TextLine) (str, barline int, ok bool) {
	i := strings.IndexByte(l.Text, '|')
	if i < 0 {
		return 0, 0, false
	}
	words := strings.Fields(l.Text[:i])
	if len(words) != 2 {
		return 0, 0, false
	}
	n, err := strconv.Atoi(words[0])
	if err != nil || n < 1 || n > rig.MaxStrings {
		return 0, 0, false
	}
	return n, i, true
}

// glyphs finds the barlines of a string line.
func glyphs(text string, from int) []columns.Glyph {
	var out []columns.Glyph
	for i := from; i < len(text); i++ {
		if text[i] != '|' {
			continue
		}
		g := columns.Glyph{From: i, To: i + 1}
		if i > from && text[i-1] == ':' {
			g.From--
		}
		for g.To < len(text) && (text[g.To] == '|' || text[g.To] == ']') {
			g.To++
		}
		if g.To < len(text) && text[g.To] == ':' {
			g.To++
			// Between the signs of ":|:" and "|]|:" nothing else may stand.
		}
		g.Text = text[g.From:g.To]
		out = append(out, g)
		i = g.To - 1
	}
	return out
}

// page is one system taken from the lines, by row.
type system struct {
	r       *reader
	lines   []columns.TextLine
	strings []columns.TextLine // string 1 first
	glyphs  []columns.Glyph
	rhythm  []columns.TextLine // by voice
	others  map[string]columns.TextLine
}

func (r *reader) system(lines []columns.TextLine) {
	s := &system{r: r, lines: lines, others: map[string]columns.TextLine{}}
	if !s.sort() {
		return
	}
	first := len(r.grid.Bars)
	for i := 0; i+1 < len(s.glyphs); i++ {
		s.bar(i)
		if len(r.faults) > 0 {
			return
		}
	}
	s.barlines(first)
}

// sort finds out which line of the system is which.
func (s *system) sort() bool {
	r := s.r
	s.rhythm = make([]columns.TextLine, len(r.grid.Tune.Voices))
	for _, l := range s.lines {
		if n, at, ok := stringLabel(l); ok {
			if n != len(s.strings)+1 {
				r.fail(l, 0, "string %d stands where string %d is expected", n, len(s.strings)+1)
				return false
			}
			if i := strings.IndexFunc(l.Text, func(c rune) bool { return c > 0x7e }); i >= 0 {
				r.fail(l, i, "only plain characters expected on the line of a string")
				return false
			}
			g := glyphs(l.Text, at)
			if n == 1 {
				s.glyphs = g
			} else if i, ok := glyphsDiffer(s.glyphs, g); ok {
				r.fail(l, i, "the barlines of string %d do not stand under those of string 1", n)
				return false
			}
			s.strings = append(s.strings, l)
			continue
		}
		label := rowLabel(l.Text)
		switch {
		case label == "":
			r.fail(l, 0, "unknown line %q in a system", fault.Clip(l.Text))
			return false
		case label == "rhythm" || strings.HasPrefix(label, "rhythm "):
			v := 0
			if label != "rhythm" {
				v, _ = strconv.Atoi(strings.TrimPrefix(label, "rhythm "))
				v--
			}
			if v < 0 || v >= len(s.rhythm) {
				r.fail(l, 0, "there is no voice for %q", label)
				return false
			}
			s.rhythm[v] = l
		default:
			if _, ok := s.others[label]; ok {
				r.fail(l, 0, "a second line %q in one system", label)
				return false
			}
			s.others[label] = l
		}
	}
	if len(s.strings) != len(r.grid.Rig.Strings) {
		r.fail(s.lines[0], 0, "%d lines of strings in this system, and the rig has %d strings", len(s.strings), len(r.grid.Rig.Strings))
		return false
	}
	if len(s.glyphs) < 2 {
		r.fail(s.strings[0], len(s.strings[0].Text), "a barline expected at the end of the system")
		return false
	}
	if last := s.glyphs[len(s.glyphs)-1]; last.To != len(s.strings[0].Text) {
		r.fail(s.strings[0], last.To, "nothing expected after the last barline")
		return false
	}
	for v, l := range s.rhythm {
		if l.Number == 0 {
			r.fail(s.lines[0], 0, "no rhythm line for voice %d in this system", v+1)
			return false
		}
	}
	return true
}

// rowLabel returns the label of a line that is no string line, "" for none.
func rowLabel(text string) string {
	words := strings.Fields(text)
	if len(words) == 0 {
		return ""
	}
	switch w := words[0]; w {
	case "bar", "signs", "chords", "steel", "hand":
		return w
	case "rhythm", "verse":
		if len(words) > 1 && strings.HasPrefix(text, w+" "+words[1]) && words[1][0] >= '1' && words[1][0] <= '9' {
			return w + " " + words[1]
		}
		if w == "rhythm" {
			return w
		}
	}
	return ""
}

func glyphsDiffer(a, b []columns.Glyph) (int, bool) {
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return b[i].From, true
		case i >= len(b):
			return b[len(b)-1].From, true
		case a[i] != b[i]:
			return b[i].From, true
		}
	}
	return 0, false
}

// barlines gives the bars read from this system what the barlines say.
func (s *system) barlines(first int) {
	bars := s.r.grid.Tune.Bars
	for i, g := range s.glyphs {
		if i > 0 {
			right := &bars[first+i-1].Right
			switch {
			case strings.HasPrefix(g.Text, ":"):
				right.Repeat = max(right.Repeat, 1)
			case strings.HasPrefix(g.Text, "|]"):
				right.Style = tune.FinalBarline
			case strings.HasPrefix(g.Text, "||"):
				right.Style = tune.DoubleBarline
			}
		}
		if i+1 < len(s.glyphs) && strings.HasSuffix(g.Text, ":") {
			bars[first+i].Left.Repeat = 1
		}
	}
}

// known maps the columns of one bar to times.
type known struct {
	times map[int]tune.Ticks // by rune column
	event []map[int]int      // by voice: the event whose letter stands there
}

// region returns the tokens of a line that stand in bar i of the system.
func (s *system) region(l columns.TextLine, i int) []columns.Span {
	if l.Number == 0 {
		return nil
	}
	from, to := s.glyphs[i].To, s.glyphs[i+1].From
	return l.Words(l.ByteAt(from), l.ByteAt(to))
}

func (s *system) bar(i int) {
	r := s.r
	u := r.grid.Tune
	b := tune.Bar{Key: r.key, Meter: r.meter, Number: 1}
	gb := columns.GridBar{}
	first := len(u.Bars) == 0
	if !first {
		b.Number = r.beforeBar.Number + 1
	}
	if first && r.tempo != nil {
		b.Tempos = append(b.Tempos, *r.tempo)
	}
	if ts := s.region(s.others["bar"], i); len(ts) > 0 {
		n, err := strconv.Atoi(ts[0].Text)
		if err != nil || len(ts) > 1 || n < 0 || n > 1<<30 {
			r.fail(s.others["bar"], ts[0].Byte, "one bar number expected, not %q", fault.Clip(ts[0].Text))
			return
		}
		b.Number = n
	}
	// Key and meter come first: bar rests and spelling hang on them.
	if !s.barSigns(i, &b) {
		return
	}
	k := known{times: map[int]tune.Ticks{}}
	for v := range u.Voices {
		if !s.rhythmLine(i, v, &b, &gb, &k) {
			return
		}
	}
	if !s.timedSigns(i, &b, &k) || !s.chordLine(i, &b, &k) || !s.cells(i, &b, &gb, &k) || !s.verses(i, &b, &k) {
		return
	}
	r.key, r.meter = b.Key, b.Meter
	u.Bars = append(u.Bars, b)
	r.grid.Bars = append(r.grid.Bars, gb)
	r.beforeBar = &u.Bars[len(u.Bars)-1]
}

// rhythmLine reads one voice's letters of one bar.
func (s *system) rhythmLine(i, v int, b *tune.Bar, gb *columns.GridBar, k *known) bool {
	r := s.r
	l := s.rhythm[v]
	var (
		at     tune.Ticks
		open   []tune.Tuplet
		events []tune.Event
		outs   []columns.RhythmEvent
		graces []tune.Grace
		gcols  []columns.Span
		glists [][]int
	)
	k.event = append(k.event, map[int]int{})
	stand := func(sp columns.Span, t tune.Ticks) bool {
		if was, ok := k.times[sp.Col]; ok && was != t {
			r.fail(l, sp.Byte, "%q stands at %s into the bar, under something at %s", sp.Text, t, was)
			return false
		}
		k.times[sp.Col] = t
		return true
	}
	for _, sp := range s.region(l, i) {
		t, bad, want := scanRhythm(sp.Text)
		if want != "" {
			r.fail(l, sp.Byte+bad, "%s, not %q", want, fault.Clip(sp.Text[min(bad, len(sp.Text)):]))
			return false
		}
		for _, str := range t.strings {
			if str < 1 || str > len(r.grid.Rig.Strings) {
				r.fail(l, sp.Byte, "the rig has no string %d", str)
				return false
			}
		}
		if t.grace {
			graces = append(graces, tune.Grace{Value: t.value, Slash: t.slash})
			gcols = append(gcols, sp)
			glists = append(glists, t.strings)
			if len(graces) > tune.MaxGraces {
				r.fail(l, sp.Byte, "more than %d graces", tune.MaxGraces)
				return false
			}
			continue
		}
		e := tune.Event{At: at, Kind: t.kind, Value: t.value, Graces: graces, Slurs: t.slurs, SlurEnds: t.slurEnd}
		if why := t.timed(&e, open, b.Meter); why != "" {
			r.fail(l, sp.Byte, "%s", fmt.Sprintf(why, sp.Text))
			return false
		}
		open = slices.Clone(e.Tuplets[:len(e.Tuplets)-t.closes])
		each := tune.GraceTime(&e)
		for gi, g := range gcols {
			if !stand(g, at+each*tune.Ticks(gi)) {
				return false
			}
		}
		if !stand(sp, at+each*tune.Ticks(len(gcols))) {
			return false
		}
		k.event[v][sp.Col] = len(events)
		events = append(events, e)
		outs = append(outs, columns.RhythmEvent{Strings: t.strings, Graces: glists, Place: columns.Place{Line: l.Number, Col: sp.Byte + 1}})
		at += e.Len
		graces, gcols, glists = nil, nil, nil
	}
	if end := l.ByteAt(s.glyphs[i+1].From); len(graces) > 0 {
		r.fail(l, end, "a note expected after the graces")
		return false
	} else if len(open) > 0 {
		r.fail(l, end, "the tuplet is not over at the end of the bar")
		return false
	} else if len(events) == 0 {
		r.fail(l, l.ByteAt(s.glyphs[i].To), "no rhythm letters in this bar")
		return false
	} else if v > 0 && at != b.Len {
		r.fail(l, end, "voice %d is %s of a whole note long in this bar, and voice 1 is %s", v+1, at, b.Len)
		return false
	}
	b.Len = at
	b.Lines = append(b.Lines, events)
	gb.Rhythm = append(gb.Rhythm, outs)
	return true
}

// cutTime takes "@1/4" off a token that carries its time.
func cutTime(s string) (string, tune.Ticks, bool, bool) {
	i := strings.LastIndexByte(s, '@')
	if i < 0 || strings.ContainsAny(s[i:], `"}`) {
		return s, 0, false, true
	}
	t, ok := columns.ParseFraction(s[i+1:])
	return s[:i], t, true, ok
}

// timeOf returns the instant of a token: its own, or its column's.
func (s *system) timeOf(l columns.TextLine, sp columns.Span, k *known) (string, tune.Ticks, bool) {
	text, at, own, ok := cutTime(sp.Text)
	if !ok {
		s.r.fail(l, sp.Byte+len(text), "a time such as \"@1/4\" expected, not %q", fault.Clip(sp.Text[len(text):]))
		return "", 0, false
	}
	if own {
		return text, at, true
	}
	at, ok = k.times[sp.Col]
	if !ok {
		s.r.fail(l, sp.Byte, "%q stands over no letter of the rhythm line", fault.Clip(sp.Text))
		return "", 0, false
	}
	return text, at, true
}

func (s *system) chordLine(i int, b *tune.Bar, k *known) bool {
	l := s.others["chords"]
	for _, sp := range s.region(l, i) {
		text, at, ok := s.timeOf(l, sp, k)
		if !ok {
			return false
		}
		c, bad, want := scanChord(text)
		if want != "" {
			s.r.fail(l, sp.Byte+bad, "%s", want)
			return false
		}
		c.At = at
		b.Chords = append(b.Chords, c)
	}
	return true
}

// cells reads the numbers of one bar with the lines about them.
func (s *system) cells(i int, b *tune.Bar, gb *columns.GridBar, k *known) bool {
	r := s.r
	byTime := map[tune.Ticks]*columns.Column{}
	for n, l := range s.strings {
		for _, sp := range cellSpans(l, s.glyphs[i].To, s.glyphs[i+1].From) {
			at, ok := k.times[sp.Col]
			if !ok {
				r.fail(l, sp.Byte, "%q stands under no letter of the rhythm line", fault.Clip(sp.Text))
				return false
			}
			c, bad, want := scanCell(sp.Text)
			if want != "" {
				r.fail(l, sp.Byte+bad, "%s, not %q", want, fault.Clip(sp.Text[min(bad, len(sp.Text)):]))
				return false
			}
			col := byTime[at]
			if col == nil {
				col = &columns.Column{At: at}
				byTime[at] = col
			}
			col.Cells = append(col.Cells, columns.PlacedCell{Cell: c, Str: n + 1, Place: columns.Place{Line: l.Number, Col: sp.Byte + 1}})
		}
	}
	for _, row := range []string{"steel", "hand"} {
		l := s.others[row]
		for _, sp := range s.region(l, i) {
			at, ok := k.times[sp.Col]
			col := byTime[at]
			if !ok || col == nil {
				r.fail(l, sp.Byte, "%q stands over or under no number", fault.Clip(sp.Text))
				return false
			}
			if row == "hand" {
				col.HandAt = columns.Place{Line: l.Number, Col: sp.Byte + 1}
				for j, c := range sp.Text {
					f := strings.IndexRune("-TIM", c)
					if f < 0 {
						r.fail(l, sp.Byte+j, "T, I, M or - expected, not %q", c)
						return false
					}
					col.Hand = append(col.Hand, tab.Finger(f))
				}
				continue
			}
			st, want := scanSteel(sp.Text)
			if want != "" {
				r.fail(l, sp.Byte, "%s, not %q", want, fault.Clip(sp.Text))
				return false
			}
			col.Steel, col.Place = st, columns.Place{Line: l.Number, Col: sp.Byte + 1}
		}
	}
	for _, col := range byTime {
		gb.Columns = append(gb.Columns, *col)
	}
	inorder.Stable(gb.Columns, func(a, b columns.Column) int { return int(min(max(a.At-b.At, -1), 1)) })
	return true
}

// cellSpans cuts a stretch of a string line into its numbers.
func cellSpans(l columns.TextLine, from, to int) []columns.Span {
	var out []columns.Span
	to = min(to, len(l.Text))
	for i := from; i < to; i++ {
		if l.Text[i] == '-' || l.Text[i] == ' ' {
			continue
		}
		end := i
		for end < to && l.Text[end] != '-' && l.Text[end] != ' ' {
			end++
		}
		out = append(out, columns.Span{Text: l.Text[i:end], Byte: i, Col: i})
		i = end
	}
	return out
}

// verses reads the words under the strings.
func (s *system) verses(i int, b *tune.Bar, k *known) bool {
	r := s.r
	var labels []string
	for label := range s.others {
		if strings.HasPrefix(label, "verse ") {
			labels = append(labels, label)
		}
	}
	inorder.Stable(labels, func(a, c string) int {
		return s.others[a].Number - s.others[c].Number
	})
	for _, label := range labels {
		l := s.others[label]
		num, voice, two := strings.Cut(strings.TrimPrefix(label, "verse "), "/")
		n, err := strconv.Atoi(num)
		v := 1
		if two && err == nil {
			v, err = strconv.Atoi(voice)
		}
		if err != nil || n < 1 || v < 1 || v > len(r.grid.Tune.Voices) {
			r.fail(l, 0, "no such verse or voice: %q", label)
			return false
		}
		for _, sp := range s.region(l, i) {
			ei, ok := k.event[v-1][sp.Col]
			if !ok {
				r.fail(l, sp.Byte, "%q stands under no letter of the rhythm line", fault.Clip(sp.Text))
				return false
			}
			y, ok := scanLyric(sp.Text)
			if !ok {
				r.fail(l, sp.Byte, "a syllable expected, not %q", fault.Clip(sp.Text))
				return false
			}
			y.Verse = n
			e := &b.Lines[v-1][ei]
			e.Lyrics = append(e.Lyrics, y)
		}
	}
	return true
}

// scanLyric reads a syllable: its text, then "-" when the word goes on and "_"
// when it is drawn out.
func scanLyric(s string) (tune.Lyric, bool) {
	var y tune.Lyric
	quoted := strings.HasPrefix(s, `"`)
	if quoted {
		text, n, ok := columns.ScanQuoted(s)
		if !ok {
			return y, false
		}
		y.Text, s = text, s[n:]
	}
	s, y.Extend = strings.CutSuffix(s, "_")
	s, y.Hyphen = strings.CutSuffix(s, "-")
	if quoted {
		return y, s == ""
	}
	y.Text = s
	return y, s != ""
}
