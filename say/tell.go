package say

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Tell reads a tab aloud in plain words for a player who can't see the sheet:
// first what it is and what it is played on, then one line for each written
// bar, in the order of the sheet, with repeats said where they stand.
func Tell(t *tab.Tab) string {
	if t == nil || t.Tune == nil || t.Rig == nil {
		return ""
	}
	tl := NewTeller(t.Tune, t)
	var b strings.Builder
	for _, l := range tl.Head() {
		b.WriteString(l + "\n")
	}
	for i := range t.Tune.Bars {
		b.WriteString(tl.Bar(i) + "\n")
	}
	for _, c := range t.Compromises {
		fmt.Fprintf(&b, "Not exactly as the tune says: bar %d, %s: wanted %s, got %s: %s.\n", c.BarNumber, Place(t.Tune, c), c.Wanted, c.Got, c.Why)
	}
	for _, l := range Added(t) {
		b.WriteString(l + ".\n")
	}
	return b.String()
}

// TellTune reads a tune without a rig: the names and lengths of its notes.
func TellTune(t *tune.Tune) string {
	if t == nil {
		return ""
	}
	tl := NewTeller(t, nil)
	var b strings.Builder
	for _, l := range tl.Head() {
		b.WriteString(l + "\n")
	}
	for i := range t.Bars {
		b.WriteString(tl.Bar(i) + "\n")
	}
	return b.String()
}

// Teller reads a piece bar by bar. It holds what reading one bar needs to know of
// the rest.
type Teller struct {
	t       *tune.Tune
	tab     *tab.Tab
	geo     *steel.Geometry
	strokes map[int][]*tab.Stroke // by bar
	next    map[*tab.Pluck]*tab.Pluck
	turned  map[*tab.Stroke]bool // the steel lies otherwise than when it was laid last
}

// NewTeller prepares to read a tune, or its tab when there is one.
func NewTeller(t *tune.Tune, tb *tab.Tab) *Teller {
	tl := &Teller{t: t, tab: tb, strokes: map[int][]*tab.Stroke{}, next: map[*tab.Pluck]*tab.Pluck{}, turned: map[*tab.Stroke]bool{}}
	if tb == nil {
		return tl
	}
	tl.geo = steel.New(tb.Rig)
	last := map[int]*tab.Pluck{}
	lies := steel.Lifted
	for i := range tb.Strokes {
		st := &tb.Strokes[i]
		if k := st.Placement.Kind; k != steel.Lifted {
			tl.turned[st] = k != lies
			lies = k
		}
		tl.strokes[st.BarIndex] = append(tl.strokes[st.BarIndex], st)
		for j := range st.Plucks {
			p := &st.Plucks[j]
			if b := last[p.String]; b != nil {
				tl.next[b] = p
			}
			last[p.String] = p
		}
	}
	return tl
}

// unby takes off the "by" that some files put before the composer's name.
func unby(composer string) string {
	if len(composer) > 3 && strings.EqualFold(composer[:3], "by ") {
		return strings.TrimSpace(composer[3:])
	}
	return composer
}

// Head says what the piece is.
func (tl *Teller) Head() []string {
	title := tl.t.Title
	if title == "" {
		title = "Untitled"
	}
	first := title
	if tl.t.Composer != "" {
		first += ", by " + unby(tl.t.Composer)
	}
	out := []string{first + "."}
	if tl.tab != nil {
		r := tl.tab.Rig
		name := r.Title
		if name == "" {
			name = r.Name
		}
		s := "For " + name + ", tuned low to high " + r.PrettyTuning()
		if r.Capo.At > 0 {
			s += ", and frets count from it"
		}
		if n := tl.tab.Transposed; n != 0 {
			s += "; it sounds " + Moved(n) + " the tune as it came"
		}
		out = append(out, s+".")
	}
	if len(tl.t.Bars) > 0 {
		b := &tl.t.Bars[0]
		s := "In " + b.Key.Pretty()
		if m := meterWords(b.Meter); m != "" {
			s += ", " + m
		}
		if !tl.t.Swing.Even() {
			s += ", " + tl.t.Swing.Words()
		}
		out = append(out, s+", "+Count(tl.t.CountBars(), "bar")+".")
	}
	return out
}

// name says which bar it is.
func (tl *Teller) name(i int) string {
	b := &tl.t.Bars[i]
	if b.Number == 0 {
		return "Pickup"
	}
	return "Bar " + strconv.Itoa(b.Number)
}

// before says what is told of a bar before its notes: what changes there.
func (tl *Teller) before(i int) []string {
	b := &tl.t.Bars[i]
	var before []string
	say := func(format string, args ...any) { before = append(before, fmt.Sprintf(format, args...)) }
	if b.Part != "" {
		say("part %s", b.Part)
	}
	if i > 0 {
		if p := &tl.t.Bars[i-1]; p.Key.Signature != b.Key.Signature {
			say("now in %s", b.Key.Pretty())
		}
		if p := &tl.t.Bars[i-1]; !p.Meter.Equal(b.Meter) {
			say("now %s", meterWords(b.Meter))
		}
	}
	if b.Left.Repeat > 0 {
		say("a repeat begins")
	}
	if b.Endings != nil {
		say("ending %s", strings.ReplaceAll(Passes(b.Endings), ".", ""))
	}
	for _, t := range b.Tempos {
		switch value, ok := valueName(t.Beat); {
		case t.PerMinute > 0 && ok:
			say("%s", strings.TrimSpace(t.Text+" "+PerMinute(t.PerMinute)+" "+value+" notes a minute"))
		case t.Text != "":
			say("%s", t.Text)
		}
	}
	for _, s := range b.Signs {
		if s.Kind == tune.Segno {
			say("segno")
		}
		if s.Kind == tune.Coda {
			say("coda")
		}
	}
	for _, c := range b.Chords {
		text := c.Text
		if c.Chord != nil {
			text = c.Chord.Pretty()
		}
		if c.At == 0 {
			say("chord %s", text)
		} else {
			say("chord %s on %s", text, tl.beat(b, c.At))
		}
	}
	for _, x := range b.Texts {
		say("%s", x.Text)
	}
	return before
}

// Bar reads one written bar, by its index.
func (tl *Teller) Bar(i int) string {
	b := &tl.t.Bars[i]
	var body []string
	if tl.tab != nil {
		for _, st := range tl.strokes[i] {
			if s := tl.stroke(b, st); s != "" {
				body = append(body, s)
			}
		}
	} else {
		body = tl.notes(b)
	}
	if len(body) == 0 {
		body = []string{"rest"}
	}
	out := tl.name(i)
	if before := tl.before(i); len(before) > 0 {
		out += " (" + strings.Join(before, ", ") + ")"
	}
	out += ": " + strings.Join(body, "; ") + "."
	for _, s := range b.Signs {
		if w := Sign(s); w != "" {
			out += " " + strings.TrimSuffix(w, ".") + "."
		}
	}
	switch r := b.Right.Repeat; {
	case r == 1:
		out += " Repeat."
	case r > 1:
		out += " Repeat " + Count(r, "time") + "."
	}
	return out
}

// beat says where in a bar a time is.
func (tl *Teller) beat(b *tune.Bar, at tune.Ticks) string {
	beat := b.Meter.Beat()
	if full := b.Meter.Len(); b.Number == 0 && full > b.Len {
		at += full - b.Len
	}
	s := "beat " + strconv.FormatInt(int64(at/beat)+1, 10)
	if r := at % beat; r != 0 {
		s += " and " + part(r, beat)
	}
	return s
}

// notes reads a bar of a tune without a rig.
func (tl *Teller) notes(b *tune.Bar) []string {
	var out []string
	for v, line := range b.Lines {
		var w []string
		for i := range line {
			e := &line[i]
			switch e.Kind {
			case tune.Skip:
			case tune.Rest:
				w = append(w, "rest for "+long(e.Len, b.Meter.Beat()))
			case tune.Sounding:
				var names []string
				for _, n := range e.Notes {
					names = append(names, n.Name.Pretty())
				}
				w = append(w, List(names)+" for "+long(e.Len, b.Meter.Beat()))
			}
		}
		if len(w) == 0 {
			continue
		}
		s := strings.Join(w, ", ")
		if len(b.Lines) > 1 {
			s = fmt.Sprintf("voice %d: %s", v+1, s)
		}
		out = append(out, s)
	}
	return out
}
