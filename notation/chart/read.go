package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tune"
)

// MaxBars bounds a chart.
const MaxBars = 10_000

// Read reads a chart. The error is a fault.List with line and column of each thing
// wrong, one for each line; the tune is then nil.
func Read(src []byte, file string) (*tune.Tune, error) {
	r := &reader{file: file, t: &tune.Tune{Index: 1, Voices: []tune.Voice{{ID: "1"}}}, meter: tune.Meter{Beats: 4, Unit: 4}}
	text := strings.TrimPrefix(string(src), "\ufeff")
	for i, line := range strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n") {
		if len(r.faults) >= 100 {
			break
		}
		r.line, r.text = i+1, line
		r.take()
	}
	r.line, r.text = 1, ""
	if len(r.faults) == 0 && len(r.t.Bars) == 0 {
		r.fault(0, "there are no bars in the chart", "write bars between upright lines: | G | C | D7 | G |")
	}
	if len(r.faults) > 0 {
		return nil, r.faults
	}
	r.finish()
	if l := r.t.Check(); len(l) > 0 {
		for i := range l {
			l[i].File = file
		}
		return nil, l
	}
	return r.t, nil
}

// reader is one reading.
type reader struct {
	file   string
	line   int
	text   string
	t      *tune.Tune
	key    pitch.Key
	meter  tune.Meter
	tempo  int
	faults fault.List

	opens   bool  // a repeat opens at the next bar
	endings []int // the ending that begins with the next bar
	last    []tune.ChordAt
}

func (r *reader) fault(col int, msg, hint string) {
	r.faults.Add(&fault.Fault{File: r.file, Line: r.line, Col: col, Msg: msg, Hint: hint})
}

// take reads one line: nothing, a remark, a field or bars.
func (r *reader) take() {
	plain := strings.TrimSpace(r.text)
	name, value, colon := strings.Cut(plain, ":")
	switch {
	case plain == "", strings.HasPrefix(plain, "#") && !strings.Contains(plain, "|"):
	case colon && name != "" && !strings.Contains(name, "|") && len(r.t.Bars) == 0 || colon && field(name):
		r.field(strings.ToLower(strings.TrimSpace(name)), strings.TrimSpace(value))
	default:
		r.bars()
	}
}

// field reports whether a word names a field.
func field(s string) bool {
	return slices.Contains([]string{"title", "key", "meter", "tempo", "kind"}, strings.ToLower(strings.TrimSpace(s)))
}

func (r *reader) field(name, value string) {
	after := r.text[strings.Index(r.text, ":")+1:]
	col := len(r.text) - len(strings.TrimLeft(after, " \t")) + 1
	if len(r.t.Bars) > 0 && name != "key" && name != "meter" {
		r.fault(1, fmt.Sprintf("the field \"%s\" stands before the first bar", name), "")
		return
	}
	switch name {
	case "title":
		r.t.Title = value
	case "kind":
		r.t.Rhythm = value
	case "key":
		k, err := pitch.ParseKey(value)
		if err != nil {
			r.fault(col, err.Error(), "a key is a tonic and a mode, such as G or A minor")
			return
		}
		r.key = k
	case "meter":
		beats, unit, _ := strings.Cut(value, "/")
		b, errB := strconv.Atoi(strings.TrimSpace(beats))
		u, errU := strconv.Atoi(strings.TrimSpace(unit))
		if errB != nil || errU != nil || b < 1 || b > tune.MaxBeats || u < 1 || u > 64 || u&(u-1) != 0 {
			r.fault(col, fmt.Sprintf("the meter \"%s\" is none", value), "write 4/4, 3/4 or 6/8")
			return
		}
		r.meter = tune.Meter{Beats: b, Unit: u}
	case "tempo":
		n, err := strconv.Atoi(value)
		if err != nil || n < 1 || n > 1000 {
			r.fault(col, fmt.Sprintf("the tempo \"%s\" is no number of beats a minute from 1 to 1000", value), "")
			return
		}
		r.tempo = n
	default:
		r.fault(1, fmt.Sprintf("unknown field \"%s\"", name), "the fields are title, key, meter, tempo and kind")
	}
}

// word is one word of a line of bars.
type word struct {
	text string
	col  int
}

// words parts a line at blanks and upright lines, which stay words of their own with
// their dots.
func (r *reader) words() []word {
	var out []word
	for i := 0; i < len(r.text); {
		c := r.text[i]
		n := 1
		switch {
		case c == ' ' || c == '\t':
			i++
			continue
		case strings.HasPrefix(r.text[i:], ":|"):
			n = 2
			for i+n < len(r.text) && (r.text[i+n] == ':' || r.text[i+n] == '|') {
				n++
			}
		case c == '|':
			for i+n < len(r.text) && (r.text[i+n] == '|' || r.text[i+n] == ':' || r.text[i+n] == ']') {
				n++
			}
		default:
			for i+n < len(r.text) && !strings.ContainsRune(" \t|", rune(r.text[i+n])) && !strings.HasPrefix(r.text[i+n:], ":|") {
				n++
			}
		}
		out = append(out, word{r.text[i : i+n], i + 1})
		i += n
	}
	return out
}

// bars reads a line of bars.
func (r *reader) bars() {
	var inside []word
	begun := false
	for _, w := range r.words() {
		if strings.ContainsRune(w.text, '|') {
			if len(inside) > 0 {
				r.bar(inside)
				inside = nil
			}
			r.barline(w, begun)
			begun = true
			continue
		}
		begun = true
		if len(inside) == 0 && strings.HasPrefix(w.text, "[") {
			n, err := strconv.Atoi(strings.TrimPrefix(w.text, "["))
			if err != nil || n < 1 || n > tune.MaxRepeats {
				r.fault(w.col, fmt.Sprintf("the ending \"%s\" has no number", w.text), "write [1 and [2")
				return
			}
			r.endings = []int{n}
			continue
		}
		inside = append(inside, w)
	}
	if len(inside) > 0 {
		r.bar(inside)
	}
	if n := len(r.t.Bars); n > 0 {
		r.t.Bars[n-1].LineBreak = true
	}
}

// barline reads an upright line with what repeats there.
func (r *reader) barline(w word, begun bool) {
	if n := len(r.t.Bars); n > 0 && (begun || strings.HasPrefix(w.text, ":")) {
		b := &r.t.Bars[n-1]
		switch {
		case strings.HasPrefix(w.text, ":"):
			b.Right.Repeat, b.Right.Style = 1, tune.FinalBarline
		case strings.HasSuffix(w.text, "]"):
			b.Right.Style = tune.FinalBarline
		case strings.HasPrefix(w.text, "||"):
			b.Right.Style = tune.DoubleBarline
		}
	} else if strings.HasPrefix(w.text, ":") {
		r.fault(w.col, "a repeat ends here before any bar", "")
	}
	if strings.HasSuffix(w.text, ":") {
		r.opens = true
	}
}

// bar makes a bar of the words between two lines.
func (r *reader) bar(words []word) {
	if len(r.t.Bars) == MaxBars {
		r.fault(words[0].col, fmt.Sprintf("a chart of more than %d bars is refused", MaxBars), "")
		return
	}
	b := tune.Bar{Key: r.key, Meter: r.meter, Len: r.meter.Len(), Endings: r.endings}
	if r.opens {
		b.Left = tune.Barline{Style: tune.OpenBarline, Repeat: 1}
	}
	r.opens, r.endings = false, nil
	at, ok := shares(len(words), r.meter)
	if !ok {
		r.fault(words[0].col, fmt.Sprintf("%d chords do not fit the beats of a bar of %d/%d", len(words), r.meter.Beats, r.meter.Unit), "a / stands for a beat on which the chord before goes on")
		return
	}
	for i, w := range words {
		if w.text == "%" && len(words) == 1 {
			if r.last == nil {
				r.fault(w.col, "\"%\" repeats the bar before, and there is none", "")
				return
			}
			b.Chords = append(b.Chords, r.last...)
			continue
		}
		if w.text == "/" || w.text == "." {
			if len(r.t.Bars) == 0 && len(b.Chords) == 0 {
				r.fault(w.col, fmt.Sprintf("\"%s\" lets the chord before go on, and there is none", w.text), "")
				return
			}
			continue
		}
		c, err := r.chord(w)
		if err != nil {
			return
		}
		c.At = at[i]
		b.Chords = append(b.Chords, c)
	}
	if len(r.t.Bars) == 0 && r.tempo > 0 {
		b.Tempos = []tune.Tempo{{Beat: r.meter.Beat(), PerMinute: int64(r.tempo) * 1000}}
	}
	b.Lines = [][]tune.Event{{{Len: b.Len, Kind: tune.Rest, Value: tune.Value{BarRest: true}}}}
	r.last = b.Chords
	r.t.Bars = append(r.t.Bars, b)
}

// shares says where so many words of a bar begin: in equal parts where these are whole
// beats or halves of the bar, else a beat each, the first as long as is left.
func shares(n int, m tune.Meter) ([]tune.Ticks, bool) {
	beats := int(m.Len() / m.Beat())
	out := make([]tune.Ticks, n)
	for i := range out {
		switch {
		case beats%n == 0 || n == 2 && beats == 1:
			out[i] = m.Len() / tune.Ticks(n) * tune.Ticks(i)
		case n > beats:
			return nil, false
		case i > 0:
			out[i] = m.Beat() * tune.Ticks(beats-n+i)
		}
	}
	return out, true
}

// chord reads a chord by name or number.
func (r *reader) chord(w word) (tune.ChordAt, error) {
	if plain := strings.ToLower(strings.Trim(w.text, "().")); plain == "n.c" || plain == "nc" {
		return tune.ChordAt{Text: "N.C."}, nil
	}
	var c pitch.Chord
	var err error
	if w.text[0] >= 'A' && w.text[0] <= 'G' {
		c, err = pitch.ParseChord(w.text)
	} else {
		c, err = pitch.ParseDegree(w.text, r.key.Tonic)
	}
	if err != nil {
		r.fault(w.col, fmt.Sprintf("\"%s\" is no chord that is known", w.text), "write G, Em7 or C/E, or a number such as 1, 57, 6m")
		return tune.ChordAt{}, err
	}
	return tune.ChordAt{Text: c.String(), Chord: &c}, nil
}

// finish numbers the bars and ends what is open.
func (r *reader) finish() {
	bars := r.t.Bars
	if last := &bars[len(bars)-1]; last.Right.Style == tune.SingleBarline {
		last.Right.Style = tune.FinalBarline
	}
	tune.EndEndings(bars)
	tune.Number(bars)
	slices.SortStableFunc(r.faults, func(a, b *fault.Fault) int { return cmp.Compare(a.Line, b.Line) })
}
