package abc

import (
	"cmp"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/feel"
	"lapwright/notation/abc/terms"
	"lapwright/say"
	"lapwright/tune"
)

// finish ends the tune and gives it, or nil, with a warning, when there is none.
func (r *reader) finish() *tune.Tune {
	r.endHeld()
	if !r.voices.begun() {
		r.warn(r.at.lineNumber, 1, "the tune X:%d has no K: field and no notes, and is left out", r.t.Index)
		return nil
	}
	all := r.voices.all
	for _, v := range all {
		v.end(r.at.lineNumber, r.t.Index)
	}
	all = slices.DeleteFunc(all, func(v *voice) bool {
		if len(v.bars) > 0 {
			return false
		}
		if len(all) > 1 {
			r.warn(r.at.lineNumber, 1, "voice %q has no notes and is left out", terms.Clip(v.id))
		}
		return true
	})
	if len(all) == 0 {
		r.warn(r.at.lineNumber, 1, "the tune X:%d has no notes and is left out", r.t.Index)
		return nil
	}
	return (&assembly{r.b, r.t, r.at, r.order, all}).tune()
}

// end closes what the voice leaves open at the end of the tune of a number, whose X: field is
// on a line.
func (v *voice) end(lineNumber, index int) {
	if v.cur.lines == nil {
		return
	}
	if v.over != nil {
		v.endLayer(lineNumber, 1)
	}
	if v.broken != 0 {
		v.b.warn(lineNumber, 1, "the tune X:%d ends in the middle of a broken rhythm", index)
	}
	if !v.cur.empty() {
		end := token{style: tune.NoBarline, lineNumber: lineNumber, col: 1}
		if p := v.cur.prev(); p != nil {
			end.lineNumber, end.col = int(p.at.lineNumber), int(p.at.col)
		}
		v.closeBar(end)
	}
	p := &v.pending
	if left := len(p.graces) + len(p.marks) + len(p.chords) + len(p.texts) + len(p.joins) + len(p.tempos) + len(p.signs) + p.slurs; left > 0 {
		if len(v.bars) > 0 && len(p.texts) > 0 && left == len(p.texts) {
			// Words after the last note stay at the end of its bar.
			b := v.bars[len(v.bars)-1]
			for _, x := range p.texts {
				x.At = b.Len
				b.Texts = append(b.Texts, x)
			}
			return
		}
		v.b.warn(lineNumber, 1, "what stands after the last note of the tune X:%d is left out: there is no note for it", index)
	}
}

// assembly makes the tune of its voices.
type assembly struct {
	b      *book
	t      *tune.Tune
	at     textLine // its X: field
	order  posText
	voices []*voice
}

// tune gives the tune, or nil, with a warning, when what it says is no music.
func (a *assembly) tune() *tune.Tune {
	if !a.affordable() {
		return nil
	}
	places := a.assemble()
	if a.order.text != "" {
		a.t.PartOrder = a.order.text
		if _, err := tune.ParsePartOrder(a.order.text); err != nil {
			a.b.warn(a.order.lineNumber, a.order.col, "%s; the parts are played as written", err)
			a.t.PartOrder = ""
		}
	}
	passes := a.unfold()
	a.b.things += len(passes) / 4
	a.tidy(places, passes)
	a.t.Swing = feel.UsualSwing(a.t) // ABC has the kind of tune alone to say that eighths written even are swung
	if faults := a.t.Check(); len(faults) > 0 {
		f := faults[0]
		a.b.warn(a.at.lineNumber, 1, "the tune X:%d is left out, for what it says is no music: %s", a.t.Index, f.Error())
		return nil
	}
	return a.t
}

// affordable reports whether the voices, filled up to the same bars, keep within what a
// file may have.
func (a *assembly) affordable() bool {
	bars, lines := 0, 0
	for _, v := range a.voices {
		bars = max(bars, len(v.bars))
		wide := 1
		for i := range v.bars {
			wide = max(wide, len(v.bars[i].Lines))
		}
		lines += wide
	}
	if lines > 1 {
		a.b.things += bars * (lines - 1)
	}
	return !a.b.full()
}

// assemble puts the voices, bar by bar, into one tune, and gives where each event
// stood in the file.
func (a *assembly) assemble() [][][]place {
	t := a.t
	count := 0
	for _, v := range a.voices {
		count = max(count, len(v.bars))
	}
	// Overlays become voices of their own after the voice that has them.
	widths := make([]int, len(a.voices))
	for i, v := range a.voices {
		for j := range v.bars {
			widths[i] = max(widths[i], len(v.bars[j].Lines))
		}
		for k := range widths[i] {
			name := tune.Voice{ID: v.id, Name: v.name}
			if name.ID == "" {
				name.ID = "1"
			}
			if k > 0 {
				name = tune.Voice{ID: name.ID + strings.Repeat("&", k)}
			}
			t.Voices = append(t.Voices, name)
		}
		if len(v.bars) < count {
			a.b.warn(a.at.lineNumber, 1, "voice %q of the tune X:%d has %s and another has %d; it rests at the end", terms.Clip(v.id), t.Index, say.Count(len(v.bars), "bar"), count)
		}
	}
	places := make([][][]place, count)
	ends := make([]place, count) // where the bars end in the first voice that has them
	t.Bars = make([]tune.Bar, 0, count)
	for i := range count {
		var (
			out   tune.Bar
			lead  *bar
			lines [][]tune.Event
		)
		for n, v := range a.voices {
			var from *bar
			if i < len(v.bars) {
				from = v.bars[i]
			}
			switch {
			case from != nil && lead == nil:
				lead = from
				ends[i] = place{int32(from.lineNumber), int32(from.col)}
				out = from.Bar
			case from != nil:
				a.merge(&out, from, v)
			}
			for k := range widths[n] {
				var events []tune.Event
				var pos []place
				if from != nil && k < len(from.Lines) {
					events, pos = from.Lines[k], from.pos[k]
				}
				lines = append(lines, events)
				places[i] = append(places[i], pos)
			}
		}
		out.Lines = lines
		for k := range out.Lines {
			out.Lines[k] = plainRests(fill(out.Lines[k], out.Len))
		}
		slices.SortStableFunc(out.Tempos, func(a, b tune.Tempo) int { return cmp.Compare(a.At, b.At) })
		slices.SortStableFunc(out.Chords, func(a, b tune.ChordAt) int { return cmp.Compare(a.At, b.At) })
		slices.SortStableFunc(out.Texts, func(a, b tune.TextAt) int { return cmp.Compare(a.At, b.At) })
		slices.SortStableFunc(out.Signs, func(a, b tune.Sign) int { return cmp.Compare(a.At, b.At) })
		t.Bars = append(t.Bars, out)
		for _, v := range a.voices {
			if i < len(v.bars) {
				v.bars[i] = nil // a long tune need not be held twice
			}
		}
	}
	last := &t.Bars[count-1]
	last.LineBreak = false
	tune.EndEndings(t.Bars)
	for _, u := range terms.UnopenedRepeats(t.Bars, a.order.text != "") {
		t.Bars[u.Double].Left.Repeat = 1
	}
	tune.Number(t.Bars)
	a.tellLengths(ends)
	return places
}

// plainRests makes plain rests of bar rests that do not fill their bar, as in a bar
// whose overlay is longer.
func plainRests(line []tune.Event) []tune.Event {
	if len(line) < 2 {
		return line
	}
	for k := range line {
		e := &line[k]
		if !e.Value.BarRest {
			continue
		}
		value, ok := tune.ValueOf(e.Len)
		e.Value = value
		if !ok {
			e.Kind, e.Value = tune.Skip, tune.Value{}
		}
	}
	return line
}

// merge brings what a further voice says of a bar into it.
func (a *assembly) merge(out *tune.Bar, from *bar, v *voice) {
	if from.Len != out.Len {
		a.b.warn(from.lineNumber, from.col, "a bar of voice %q lasts %s, where the voice before has %s; the shorter rests", terms.Clip(v.id), from.Len, out.Len)
		out.Len = max(out.Len, from.Len)
	}
	if from.Right.Repeat != out.Right.Repeat || from.Left.Repeat != out.Left.Repeat || !slices.Equal(from.Endings, out.Endings) && len(from.Endings) > 0 {
		a.b.once("repeats of "+v.id, from.lineNumber, from.col, "voice %q has other repeats than the first voice, which are left out", terms.Clip(v.id))
	}
	// What the voices before have at the same place is not said twice.
	out.Tempos = unsaid(out.Tempos, from.Tempos, func(a, b tune.Tempo) bool { return a == b })
	out.Chords = unsaid(out.Chords, from.Chords, func(a, b tune.ChordAt) bool { return a.At == b.At && a.Text == b.Text })
	out.Texts = unsaid(out.Texts, from.Texts, func(a, b tune.TextAt) bool { return a == b })
	out.Signs = unsaid(out.Signs, from.Signs, func(a, b tune.Sign) bool { return a.At == b.At && a.Kind == b.Kind })
}

// unsaid appends to a list what of another is like nothing in it.
func unsaid[T any](list, more []T, like func(a, b T) bool) []T {
	before := len(list)
	for _, x := range more {
		if !slices.ContainsFunc(list[:before], func(y T) bool { return like(x, y) }) {
			list = append(list, x)
		}
	}
	return list
}

// tellLengths warns of bars that are longer or shorter than their meter, but
// for those beside a line that may stand inside a bar.
func (a *assembly) tellLengths(ends []place) {
	bars := a.t.Bars
	for i := range bars {
		b := &bars[i]
		full := b.Meter.Len()
		if full == 0 || b.Len == full {
			continue
		}
		if b.Len < full && (i == 0 || i+1 == len(bars) || tune.MaySplit(&bars[i-1], b) || tune.MaySplit(b, &bars[i+1])) {
			continue
		}
		a.b.warn(int(ends[i].lineNumber), int(ends[i].col), "bar %d lasts %s and its meter asks for %s", b.Number, b.Len, full)
	}
}

// tidy takes out the ties, glides and slurs that lead nowhere.
func (a *assembly) tidy(places [][][]place, passes []tune.Pass) {
	t := a.t
	after := tune.Followers(t, passes)
	for v := range t.Voices {
		var slurs []*tune.Event // those that are open, by the event they begin on
		for i := range t.Bars {
			line := t.Bars[i].Lines[v]
			for k := range line {
				e := &line[k]
				at := place{int32(a.at.lineNumber), 1}
				if k < len(places[i][v]) {
					at = places[i][v][k]
				}
				for range e.SlurEnds {
					if len(slurs) == 0 {
						a.b.warn(int(at.lineNumber), int(at.col), "a slur ends here that did not begin, and is left out")
						e.SlurEnds--
						continue
					}
					slurs = slurs[:len(slurs)-1]
				}
				for range e.Slurs {
					slurs = append(slurs, e)
				}
				if !e.JoinsOn() {
					continue
				}
				a.tidyJoins(e, tune.Next(t, after, i, v, k), at)
			}
		}
		for _, e := range slurs {
			e.Slurs--
			a.b.warn(a.at.lineNumber, 1, "a slur in the tune X:%d does not end, and is left out", t.Index)
		}
	}
}

// tidyJoins takes out the ties and glides of an event that no next event takes
// up.
func (a *assembly) tidyJoins(e *tune.Event, next []*tune.Event, at place) {
	for i := range e.Graces {
		after := e.Notes
		if i+1 < len(e.Graces) {
			after = e.Graces[i+1].Notes
		}
		for j := range e.Graces[i].Notes {
			n := &e.Graces[i].Notes[j]
			if n.Glide && len(e.Graces[i].Notes)-1-j >= len(after) {
				n.Glide = false
				a.b.warn(int(at.lineNumber), int(at.col), "the glide out of the grace %s leads nowhere and is left out", n.Name)
			}
		}
	}
	for j := range e.Notes {
		n := &e.Notes[j]
		if n.Tie && !slices.ContainsFunc(next, func(x *tune.Event) bool { return slices.Contains(tune.TiedFrom(e, x), j) }) {
			n.Tie = false
			a.b.warn(int(at.lineNumber), int(at.col), "the tie of %s leads to no note of the same pitch and is left out", n.Name)
		}
		if n.Tie && n.Glide {
			n.Glide = false
			a.b.warn(int(at.lineNumber), int(at.col), "the note %s is tied on, so its glide is left out", n.Name)
		}
		fromTop := len(e.Notes) - 1 - j
		if n.Glide && !slices.ContainsFunc(next, func(x *tune.Event) bool { return tune.GlideLands(e, x, fromTop) }) {
			n.Glide = false
			a.b.warn(int(at.lineNumber), int(at.col), "the glide out of %s leads nowhere and is left out", n.Name)
		}
	}
}

// unfold takes out what makes the tune no piece that can be played through, and
// gives its bars in the order of playing.
func (a *assembly) unfold() []tune.Pass {
	t := a.t
	passes, faults := tune.Unfold(t)
	if len(faults) == 0 {
		return passes
	}
	a.warnFaults(faults)
	// First the order of the parts, if that is what is wrong.
	if order := t.PartOrder; order != "" {
		t.PartOrder = ""
		again, rest := tune.Unfold(t)
		if len(rest) < len(faults) {
			a.b.warn(a.order.lineNumber, a.order.col, "the order of the parts %q is left out", terms.Clip(order))
			passes, faults = again, rest
		} else {
			t.PartOrder = order
		}
	}
	for _, repair := range []func(){a.dropSameEndings, a.dropSigns, a.dropRepeats} {
		if len(faults) == 0 {
			break
		}
		repair()
		passes, faults = tune.Unfold(t)
	}
	return passes
}

// dropSameEndings takes out endings whose number an ending before has.
func (a *assembly) dropSameEndings() {
	seen := map[int]bool{}
	for i := range a.t.Bars {
		b := &a.t.Bars[i]
		if b.Left.Repeat > 0 || i > 0 && len(b.Endings) == 0 && a.t.Bars[i-1].EndingEnds {
			clear(seen)
		}
		b.Endings = slices.DeleteFunc(b.Endings, func(n int) bool { return seen[n] })
		for _, n := range b.Endings {
			seen[n] = true
		}
		if len(b.Endings) == 0 {
			b.Endings = nil
		}
	}
	tune.EndEndings(a.t.Bars)
}

func (a *assembly) dropSigns() {
	a.b.warn(a.at.lineNumber, 1, "the signs to play on of the tune X:%d are left out", a.t.Index)
	for i := range a.t.Bars {
		a.t.Bars[i].Signs = nil
	}
}

func (a *assembly) dropRepeats() {
	a.b.warn(a.at.lineNumber, 1, "the repeats and parts of the tune X:%d are left out", a.t.Index)
	a.t.PartOrder = ""
	for i := range a.t.Bars {
		b := &a.t.Bars[i]
		b.Left.Repeat, b.Right.Repeat, b.Endings, b.EndingEnds = 0, 0, nil, false
	}
}

// warnFaults turns faults of the music into warnings at the tune's place in the file.
func (a *assembly) warnFaults(faults fault.List) {
	for _, f := range faults {
		a.b.warn(a.at.lineNumber, 1, "in the tune X:%d, %s", a.t.Index, f.Error())
	}
}
