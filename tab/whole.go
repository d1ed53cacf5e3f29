package tab

import (
	"cmp"
	"fmt"
	"slices"

	"lapwright/fault"
	"lapwright/inorder"
	"lapwright/tune"
)

// Whole returns the tune that a tab is of: what it sounds, without what is Added, and
// with what is LeftOut put back. It is the tune note by note, but for what is in
// Compromises; written values and beams are plain ones where something was left out.
func (t *Tab) Whole() *tune.Tune {
	out := Sounding(t)
	gone := map[tune.Ref]bool{}
	for _, a := range t.Added {
		switch {
		case a.Kind.Note():
			gone[a.Ref] = true
		case a.Kind == AddSlideIn:
			unscoop(out, t.Tune, a.Ref)
		}
	}
	for b := range out.Bars {
		for v := range out.Bars[b].Lines {
			takeAway(out.Bars[b].Lines[v], b, v, gone)
		}
	}
	byBar := map[[2]int][]LeftOut{}
	for _, l := range t.LeftOut {
		byBar[[2]int{l.BarIndex, l.Voice}] = append(byBar[[2]int{l.BarIndex, l.Voice}], l)
	}
	for at, left := range byBar {
		if at[0] < len(out.Bars) && at[1] < len(out.Bars[at[0]].Lines) {
			putBack(&out.Bars[at[0]].Lines[at[1]], left)
		}
	}
	rolled := map[int]bool{}
	for _, a := range t.Added {
		if a.Kind == AddRoll {
			rolled[a.Ref.Voice] = true
		}
	}
	dropSilent(out, rolled)
	return out
}

// unscoop takes an added slide from the note that sounds what the note at ref asks for.
func unscoop(sounds, t *tune.Tune, ref tune.Ref) {
	n := t.Note(ref)
	if e := sounds.Event(ref); n != nil && e != nil && ref.Grace < 0 {
		for i := range e.Notes {
			if e.Notes[i].Name.Key() == n.Name.Key() {
				e.Notes[i].Scoop = n.Scoop
			}
		}
	}
}

// takeAway leaves of a line the notes that nobody added. Sounding keeps the order of
// an event's notes, low to high, so a note stands where its Ref says when all are
// played.
func takeAway(line []tune.Event, bar, voice int, gone map[tune.Ref]bool) {
	for e := range line {
		ev := &line[e]
		kept := ev.Notes[:0]
		for i, n := range ev.Notes {
			if !gone[tune.Ref{Bar: bar, Voice: voice, Event: e, Grace: -1, Note: i}] {
				kept = append(kept, n)
			}
		}
		if ev.Notes = kept; ev.Kind == tune.Sounding && len(kept) == 0 {
			ev.Kind, ev.Graces, ev.Notes = tune.Rest, nil, nil
		}
	}
}

// putBeside puts a note back into the event at a place.
func putBeside(line []tune.Event, at tune.Ticks, note tune.Note) {
	for i := range line {
		if e := &line[i]; e.At == at && e.Kind == tune.Sounding {
			k, _ := slices.BinarySearchFunc(e.Notes, note, func(a, b tune.Note) int { return cmp.Compare(a.Name.Key(), b.Name.Key()) })
			e.Notes = slices.Insert(slices.Clone(e.Notes), k, note)
		}
	}
}

// putBack puts notes into a line: what lasts over them is cut short.
func putBack(line *[]tune.Event, left []LeftOut) {
	inorder.Stable(left, func(a, b LeftOut) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(b.Grace, a.Grace), cmp.Compare(a.Name.Key(), b.Name.Key()))
	})
	var back []tune.Event
	for _, l := range left {
		note := tune.Note{Name: l.Name, Tie: l.Tie, Glide: l.Glide, Scoop: l.Scoop, Chop: l.Chop}
		n := len(back)
		switch {
		case l.Grace >= 0:
		case l.Beside:
			putBeside(*line, l.At, note)
		case n > 0 && back[n-1].At == l.At:
			back[n-1].Notes = append(back[n-1].Notes, note)
		default:
			v, _ := tune.ValueOf(l.Len)
			back = append(back, tune.Event{At: l.At, Len: l.Len, Value: v, Notes: []tune.Note{note}})
		}
	}
	var out []tune.Event
	covered := func(at tune.Ticks) (until tune.Ticks, is bool) {
		for _, e := range back {
			if at >= e.At && at < e.At+e.Len {
				return e.At + e.Len, true
			}
		}
		return 0, false
	}
	for _, e := range *line {
		end := e.At + e.Len
		if until, is := covered(e.At); is {
			// It only held on what is now cut short.
			if e.At = until; e.At >= end {
				continue
			}
			e.Kind, e.Notes, e.Graces = tune.Rest, nil, nil
		}
		for _, x := range back {
			if x.At > e.At && x.At < end {
				end = x.At
				for i := range e.Notes {
					e.Notes = slices.Clone(e.Notes)
					e.Notes[i].Tie = false
				}
				break
			}
		}
		if end < e.At+e.Len || e.Value.Len() != e.Len && len(e.Tuplets) == 0 {
			e.Len = end - e.At
			e.Value, _ = tune.ValueOf(e.Len)
		}
		if next := e.At + e.Len; len(back) > 0 {
			if _, is := covered(next); is {
				for i := range e.Notes {
					e.Notes = slices.Clone(e.Notes)
					e.Notes[i].Tie = false
				}
			}
		}
		out = append(out, e)
	}
	out = append(out, back...)
	inorder.Stable(out, func(a, b tune.Event) int { return cmp.Compare(a.At, b.At) })
	for _, l := range left {
		if i := slices.IndexFunc(out, func(e tune.Event) bool { return e.At == l.At && e.Kind == tune.Sounding }); l.Grace >= 0 && i >= 0 {
			out[i].Graces = slices.Insert(out[i].Graces, 0, tune.Grace{Notes: []tune.Note{{Name: l.Name}}, Value: tune.Value{Log2: 4}})
		}
	}
	*line = out
}

// Accounts lists where what a tab sounds, without what is Added and with what is
// LeftOut, is not a tune note by note, and what its player adds without its being
// listed; nil when the tab gives full account. Bars with compromises are passed over.
func (t *Tab) Accounts(of *tune.Tune) fault.List {
	var out fault.List
	add := func(bar int, format string, a ...any) {
		out.Add(&fault.Fault{Bar: fmt.Sprint(of.Bars[bar].Number), Msg: fmt.Sprintf(format, a...)})
	}
	excused := map[int]bool{}
	for _, c := range t.Compromises {
		excused[c.Ref.Bar] = true
	}
	got := t.Whole()
	for b := range of.Bars {
		if b >= len(got.Bars) || excused[b] {
			continue
		}
		if w, g := noteByNote(&of.Bars[b]), noteByNote(&got.Bars[b]); w != g {
			add(b, "the tune has %s and the tab accounts for %s", w, g)
		}
	}
	played := map[tune.Ref]bool{}
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			played[p.Ref] = true
		}
	}
	listed := map[string]int{}
	for _, a := range t.Added {
		if !a.Kind.Note() || !played[a.Ref] {
			listed[a.Text()]++
		}
	}
	for _, a := range Touched(t) {
		if listed[a.Text()]--; listed[a.Text()] < 0 && a.Ref.Bar < len(of.Bars) {
			add(a.Ref.Bar, "%s is played and not listed", a.Text())
		}
	}
	for text, n := range listed {
		if n > 0 {
			out.Add(&fault.Fault{Msg: text + " is listed and not played"})
		}
	}
	return out
}

// noteByNote writes what a bar sounds: place, length, pitch and tie of every note,
// voice by voice. A note that is written in parts, tied, is one.
func noteByNote(b *tune.Bar) string {
	s := ""
	for v, line := range b.Lines {
		line = joined(line)
		s += fmt.Sprintf("[%d:", v+1)
		for i := range line {
			e := &line[i]
			for _, g := range e.Graces {
				for _, n := range g.Notes {
					s += fmt.Sprintf(" %s/%d", e.At, n.Name.Key())
				}
			}
			for _, n := range e.Notes {
				s += fmt.Sprintf(" %s+%s=", e.At, e.Len)
				if n.Chop {
					s += "x"
				} else {
					s += fmt.Sprint(n.Name.Key())
				}
				if n.Tie {
					s += "-"
				}
				if n.Glide {
					s += "/"
				}
				if n.Scoop != 0 {
					s += fmt.Sprintf("s%d", n.Scoop)
				}
			}
		}
		s += "]"
	}
	return s
}

// joined returns a line in which events that hold on all of what the one before sounds,
// and sound nothing else, are one with it.
func joined(line []tune.Event) []tune.Event {
	var out []tune.Event
	for _, e := range line {
		if n := len(out); n > 0 && holdsOn(&out[n-1], &e) {
			last := &out[n-1]
			last.Len += e.Len
			last.Notes = slices.Clone(last.Notes)
			for i := range last.Notes {
				last.Notes[i].Tie, last.Notes[i].Glide = e.Notes[i].Tie, e.Notes[i].Glide
			}
			continue
		}
		out = append(out, e)
	}
	return out
}

func holdsOn(a, b *tune.Event) bool {
	return a.Kind == tune.Sounding && b.Kind == tune.Sounding && len(b.Graces) == 0 &&
		slices.EqualFunc(a.Notes, b.Notes, func(x, y tune.Note) bool {
			return x.Tie && !x.Chop && !y.Chop && x.Name.Key() == y.Name.Key()
		})
}
