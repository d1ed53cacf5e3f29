package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/rig"
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
	tl := newTeller(t.Tune, t)
	var b strings.Builder
	for _, l := range tl.head() {
		b.WriteString(l + "\n")
	}
	for i := range t.Tune.Bars {
		b.WriteString(tl.bar(i) + "\n")
	}
	for _, c := range t.Compromises {
		fmt.Fprintf(&b, "Not exactly as the tune says: bar %d, %s: wanted %s, got %s: %s.\n", c.Bar, beatText(t.Tune, c), c.Wanted, c.Got, c.Why)
	}
	return b.String()
}

// TellTune reads a tune without a rig: the names and lengths of its notes.
func TellTune(t *tune.Tune) string {
	if t == nil {
		return ""
	}
	tl := newTeller(t, nil)
	var b strings.Builder
	for _, l := range tl.head() {
		b.WriteString(l + "\n")
	}
	for i := range t.Bars {
		b.WriteString(tl.bar(i) + "\n")
	}
	return b.String()
}

// teller holds what reading one bar needs to know of the rest.
type teller struct {
	t       *tune.Tune
	tab     *tab.Tab
	geo     *steel.Geometry
	strokes map[int][]*tab.Stroke // by bar
	next    map[*tab.Pluck]*tab.Pluck
	turned  map[*tab.Stroke]bool // the bar lies otherwise than when it was laid last
}

func newTeller(t *tune.Tune, tb *tab.Tab) *teller {
	tl := &teller{t: t, tab: tb, strokes: map[int][]*tab.Stroke{}, next: map[*tab.Pluck]*tab.Pluck{}, turned: map[*tab.Stroke]bool{}}
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
		tl.strokes[st.Bar] = append(tl.strokes[st.Bar], st)
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

// head says what the piece is.
func (tl *teller) head() []string {
	title := tl.t.Title
	if title == "" {
		title = "Untitled"
	}
	first := title
	if tl.t.Composer != "" {
		first += ", by " + tl.t.Composer
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
			s += "; it sounds " + moved(n) + " the tune as it came"
		}
		out = append(out, s+".")
	}
	if len(tl.t.Bars) > 0 {
		b := &tl.t.Bars[0]
		s := "In " + b.Key.Pretty()
		if m := meterWords(b.Meter); m != "" {
			s += ", " + m
		}
		n := 0
		for i := range tl.t.Bars {
			if tl.t.Bars[i].Number > 0 {
				n++
			}
		}
		out = append(out, s+", "+plural(n, "bar")+".")
	}
	return out
}

func meterWords(m tune.Meter) string {
	if m.Beats == 0 {
		return "free time"
	}
	return fmt.Sprintf("%d %d time", m.Beats, m.Unit)
}

func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// name says which bar it is.
func (tl *teller) name(i int) string {
	b := &tl.t.Bars[i]
	if b.Number == 0 {
		return "Pickup"
	}
	return "Bar " + strconv.Itoa(b.Number)
}

// bar reads one written bar.
func (tl *teller) bar(i int) string {
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
		if p := &tl.t.Bars[i-1]; !sameMeter(p.Meter, b.Meter) {
			say("now %s", meterWords(b.Meter))
		}
	}
	if b.Left.Repeat > 0 {
		say("a repeat begins")
	}
	if b.Endings != nil {
		say("ending %s", strings.ReplaceAll(passes(b.Endings), ".", ""))
	}
	for _, t := range b.Tempos {
		switch _, _, ok := metNote(t.Beat); {
		case t.PerMinute > 0 && ok:
			say("%s", strings.TrimSpace(t.Text+" "+perMinute(t.PerMinute)+" "+valueName(t.Beat)+" notes a minute"))
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
	if len(before) > 0 {
		out += " (" + strings.Join(before, ", ") + ")"
	}
	out += ": " + strings.Join(body, "; ") + "."
	for _, s := range b.Signs {
		if w := signText(s); w != "" {
			out += " " + w + "."
		}
	}
	switch r := b.Right.Repeat; {
	case r == 1:
		out += " Repeat."
	case r > 1:
		out += " Repeat " + plural(r, "time") + "."
	}
	return out
}

// valueName names a note value for a tempo.
func valueName(d tune.Ticks) string {
	v, ok := tune.ValueOf(d)
	if !ok {
		return d.String()
	}
	name := "breve"
	if v.Log2 >= 0 && int(v.Log2) < 6 {
		name = [...]string{"whole", "half", "quarter", "eighth", "sixteenth", "thirty-second"}[v.Log2]
	}
	if v.Dots > 0 {
		name = "dotted " + name
	}
	return name
}

// beat says where in a bar a time is.
func (tl *teller) beat(b *tune.Bar, at tune.Ticks) string {
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

// part names a fraction of a beat below one.
func part(r, beat tune.Ticks) string {
	g := gcd(int64(r), int64(beat))
	num, den := int64(r)/g, int64(beat)/g
	switch {
	case den == 2:
		return "a half"
	case den == 3 && num == 1:
		return "a third"
	case den == 3:
		return "two thirds"
	case den == 4 && num == 1:
		return "a quarter"
	case den == 4:
		return "three quarters"
	case den == 6 && num == 1:
		return "a sixth"
	case den == 6:
		return "five sixths"
	}
	return fmt.Sprintf("%d/%d", num, den)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// long says how long a time is in beats.
func long(d, beat tune.Ticks) string {
	whole, rest := int64(d/beat), d%beat
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	n := strconv.FormatInt(whole, 10)
	if whole < int64(len(words)) {
		n = words[whole]
	}
	switch {
	case rest == 0 && whole == 1:
		return "one beat"
	case rest == 0:
		return n + " beats"
	case whole == 0 && rest*2 == beat:
		return "half a beat"
	case whole == 0:
		return part(rest, beat) + " of a beat"
	}
	return n + " and " + part(rest, beat) + " beats"
}

// list joins words as a sentence does.
func list(w []string) string {
	switch len(w) {
	case 0:
		return ""
	case 1:
		return w[0]
	}
	return strings.Join(w[:len(w)-1], ", ") + " and " + w[len(w)-1]
}

// strings names strings by number.
func stringNames(n []int) string {
	w := make([]string, len(n))
	for i, k := range n {
		w[i] = strconv.Itoa(k)
	}
	if len(n) == 1 {
		return "string " + w[0]
	}
	return "strings " + list(w)
}

// stroke reads one stroke.
func (tl *teller) stroke(b *tune.Bar, st *tab.Stroke) string {
	if len(st.Plucks) == 0 {
		return ""
	}
	beat := b.Meter.Beat()
	var said []string
	var open, fretted, held []int
	var longest tune.Ticks
	pl := st.Placement
	byFret := map[string][]int{}
	var frets []string
	harmonics := map[string][]int{}
	var nodes []string
	joined := ""
	for i := range st.Plucks {
		p := &st.Plucks[i]
		longest = max(longest, p.Len)
		switch {
		case p.Attack == tab.Tied:
			held = append(held, p.String)
		case p.Attack == tab.Harmonic:
			f := p.Fret
			if f == 0 {
				f = tab.NodeFret(int(p.Node))
			}
			k := fret(f)
			if harmonics[k] == nil {
				nodes = append(nodes, k)
			}
			harmonics[k] = append(harmonics[k], p.String)
		case p.Fret == 0:
			open = append(open, p.String)
		default:
			fretted = append(fretted, p.String)
			k := fret(p.Fret)
			if byFret[k] == nil {
				frets = append(frets, k)
			}
			byFret[k] = append(byFret[k], p.String)
		}
		switch p.Attack {
		case tab.Hammered:
			joined = "hammer on to "
		case tab.PulledOff:
			joined = "pull off to "
		case tab.Glided:
			joined = "arrive at "
		case tab.PalmHarmonic:
			joined = "palm harmonic over "
		}
	}
	switch {
	case len(fretted) == 0:
	case len(frets) == 1 && !pl.Slanted():
		// That the bar is square to the strings goes without saying for one
		// string, unless it was not so before.
		how := ""
		switch {
		case pl.Kind == steel.Nose:
			how = "with the nose of the bar, "
		case len(fretted) > 1 || tl.turned[st]:
			how = "straight, "
		}
		said = append(said, fmt.Sprintf("%sfret %s, %s%s", joined, frets[0], how, stringNames(fretted)))
	default:
		var w []string
		for _, f := range frets {
			w = append(w, fmt.Sprintf("fret %s on %s", f, stringNames(byFret[f])))
		}
		lead := pl.Kind.String()
		if pl.Slanted() {
			lead += fmt.Sprintf(" of %.0f degrees", math.Abs(tl.geo.Angle(pl)))
		}
		said = append(said, joined+lead+", "+list(w))
	}
	if len(open) > 0 {
		lead := ""
		if len(fretted) == 0 {
			lead = joined
		}
		said = append(said, lead+"open "+stringNames(open))
	}
	for _, k := range nodes {
		said = append(said, "harmonic at fret "+k+" on "+stringNames(harmonics[k]))
	}
	if len(held) > 0 {
		said = append(said, stringNames(held)+" held on")
	}
	if w := tl.benders(st); w != "" {
		said = append(said, w)
	}
	if w := scoops(st); w != "" {
		said = append(said, w)
	}
	dur := "for " + long(longest, beat)
	if st.Grace {
		dur = "quickly"
	}
	said = append(said, dur)
	if w := tl.glides(st, beat); w != "" {
		said = append(said, w)
	}
	vib, damp := false, false
	for _, p := range st.Plucks {
		vib, damp = vib || p.Vibrato, damp || p.Damp
	}
	if vib {
		said = append(said, "vibrato")
	}
	if damp {
		said = append(said, "then stop it")
	}
	if w := fingersWords(st); w != "" {
		said = append(said, w)
	}
	return tl.beat(b, st.At) + ": " + strings.Join(said, ", ")
}

// benders says which benders are engaged.
func (tl *teller) benders(st *tab.Stroke) string {
	var w []string
	for i := range tl.tab.Rig.Benders {
		b := &tl.tab.Rig.Benders[i]
		on := false
		for _, p := range st.Plucks {
			on = on || moves(b, p.String)
		}
		if on && st.Benders.Has(i) {
			w = append(w, benderName(b))
		}
	}
	if len(w) == 0 {
		return ""
	}
	return "with " + list(w)
}

func benderName(b *rig.Bender) string {
	if b.Mark != "" {
		return "bender " + b.Mark
	}
	return b.Name
}

// scoops says from where a note is slid into.
func scoops(st *tab.Stroke) string {
	for _, p := range st.Plucks {
		if p.Scoop < 0 {
			return "slid into from below"
		}
		if p.Scoop > 0 {
			return "slid into from above"
		}
	}
	return ""
}

// glides says where the bar goes from here while the strings ring.
func (tl *teller) glides(st *tab.Stroke, beat tune.Ticks) string {
	type target struct {
		way, to string
	}
	var order []target
	by := map[target][]int{}
	var dur tune.Ticks
	var still []int
	for i := range st.Plucks {
		p := &st.Plucks[i]
		q := tl.next[p]
		if !p.Glide || q == nil {
			still = append(still, p.String)
			continue
		}
		dur = max(dur, p.Len)
		k := target{"up", fret(q.Fret)}
		switch {
		case q.Fret < p.Fret:
			k.way = "down"
		case q.Fret == p.Fret:
			k = target{"with the bender", ""}
		}
		if by[k] == nil {
			order = append(order, k)
		}
		by[k] = append(by[k], p.String)
	}
	if len(order) == 0 {
		return ""
	}
	slices.SortFunc(order, func(a, b target) int { return by[a][0] - by[b][0] })
	var w []string
	for _, k := range order {
		s := "glide " + k.way
		if k.to != "" {
			s += " to " + k.to
		}
		if len(order) > 1 || len(still) > 0 {
			s += " on " + stringNames(by[k])
		}
		w = append(w, s)
	}
	s := list(w) + " over " + long(dur, beat)
	if len(still) > 0 {
		s += " while " + stringNames(still)
		if len(still) == 1 {
			s += " rings on"
		} else {
			s += " ring on"
		}
	}
	return s
}

func fingersWords(st *tab.Stroke) string {
	names := map[tab.Finger]string{tab.Thumb: "thumb", tab.Index: "index", tab.Middle: "middle"}
	var w []string
	for _, p := range st.Plucks {
		n := names[p.Finger]
		if n == "" {
			continue
		}
		if len(st.Plucks) > 1 {
			n += " on " + strconv.Itoa(p.String)
		}
		w = append(w, n)
	}
	return list(w)
}

// notes reads a bar of a tune without a rig.
func (tl *teller) notes(b *tune.Bar) []string {
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
				w = append(w, list(names)+" for "+long(e.Len, b.Meter.Beat()))
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
