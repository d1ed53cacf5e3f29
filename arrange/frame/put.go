package frame

import (
	"fmt"
	"slices"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tune"
)

// Set is what a tune is framed with; nil leaves a kind out.
type Set [3]*Phrase // by Kind

// Placed is one phrase in a framed tune.
type Placed struct {
	Phrase *Phrase
	// From and To are indexes of its bars in the framed tune, To not included; a bar of
	// rest that fills up the tune's last is counted in.
	From, To int
}

// Framed is a tune with its frame.
type Framed struct {
	Tune  *tune.Tune
	Parts []Placed // in written order
	// Own is where the tune's own bars begin, and Shift by how much their printed
	// numbers are higher than in the tune.
	Own, Shift int
}

// Put frames a tune: the phrases as bars of their own around it, its own bars
// unchanged but for numbers, barlines, signs and where its first tempo stands. It fails where
// a phrase doesn't fit, and where the tune's own signs or order of parts say where it
// goes on and ends.
func Put(t *tune.Tune, s Set) (*Framed, error) {
	f := &Framed{Tune: t.Clone()}
	if s == (Set{}) {
		return f, nil
	}
	if len(t.Bars) == 0 {
		return nil, &fault.Fault{Msg: "the tune has no bars"}
	}
	if err := s.may(t); err != nil {
		return nil, err
	}
	b := &binder{t: f.Tune, out: f}
	own := slices.Clone(f.Tune.Bars)
	f.Tune.Bars = nil
	if err := b.intro(s[Intro], own); err != nil {
		return nil, err
	}
	f.Own = len(f.Tune.Bars)
	f.Tune.Bars = append(f.Tune.Bars, own...)
	for _, k := range []Kind{Turnaround, Ending} {
		if err := b.after(s, k, own); err != nil {
			return nil, err
		}
	}
	b.signs(s)
	if l := f.Tune.Check(); len(l) > 0 {
		return nil, l
	}
	return f, nil
}

// may says why a tune can't be framed.
func (s Set) may(t *tune.Tune) error {
	for _, p := range s {
		if p == nil {
			continue
		}
		if b := beside(t, p.Kind); !p.Fits(b) {
			return &fault.Fault{Msg: fmt.Sprintf("the %s %q does not fit a tune in %s and %s", p.Kind, p.Name, b.Key, meterText(b.Meter))}
		}
	}
	if t.PartOrder != "" {
		return &fault.Fault{Msg: fmt.Sprintf("the tune has its own order of parts, %q: nothing is set before or after it", t.PartOrder)}
	}
	for i := range t.Bars {
		if len(t.Bars[i].Signs) > 0 {
			return &fault.Fault{Bar: fmt.Sprint(t.Bars[i].Number), Msg: "the tune has signs of its own that say where it goes on: nothing is set before or after it"}
		}
	}
	return nil
}

func meterText(m tune.Meter) string {
	if m.Unit == 0 {
		return "free meter"
	}
	return fmt.Sprintf("%d/%d", m.Beats, m.Unit)
}

// binder puts phrases around a tune.
type binder struct {
	t   *tune.Tune
	out *Framed
}

// intro sets a phrase before the tune's own bars, and makes room in its last bar for
// their pickup.
func (b *binder) intro(p *Phrase, own []tune.Bar) error {
	if p == nil {
		return nil
	}
	first := &own[0]
	pickup := b.pickup(own)
	bars, err := b.bars(p, first, near(own, 0), pickup)
	if err != nil {
		return err
	}
	for i := range bars {
		bars[i].Number = i + 1
	}
	for i := range own {
		own[i].Number += len(bars)
	}
	b.out.Shift = len(bars)
	// What holds from the beginning holds from the intro on.
	head := &bars[0]
	for _, x := range first.Tempos {
		if x.At == 0 {
			head.Tempos = append(head.Tempos, x)
		}
	}
	first.Tempos = slices.DeleteFunc(first.Tempos, func(x tune.Tempo) bool { return x.At == 0 })
	b.open(own)
	b.place(p, bars)
	return nil
}

// pickup returns how long the bar is that the tune begins with before its first full
// one, 0 for none.
func (b *binder) pickup(own []tune.Bar) tune.Ticks {
	if first := &own[0]; first.Len < first.Meter.Len() {
		return first.Len
	}
	return 0
}

// open writes the sign that opens the tune's first repeat, which goes back to the
// beginning without one.
func (b *binder) open(own []tune.Bar) {
	for i := range own {
		switch {
		case own[i].Left.Repeat > 0:
			return
		case own[i].Right.Repeat > 0:
			own[0].Left.Repeat = 1
			return
		}
	}
}

// place adds the bars of a phrase.
func (b *binder) place(p *Phrase, bars []tune.Bar) {
	from := len(b.t.Bars)
	for i := range bars {
		if !rests(&bars[i]) {
			bars[i].Texts = append(bars[i].Texts, tune.TextAt{Text: p.Kind.String()})
			break
		}
	}
	last := &bars[len(bars)-1].Right
	last.Style = tune.DoubleBarline
	b.t.Bars = append(b.t.Bars, bars...)
	b.out.Parts = append(b.out.Parts, Placed{p, from, len(b.t.Bars)})
}

func rests(b *tune.Bar) bool {
	return !slices.ContainsFunc(b.Lines[0], func(e tune.Event) bool { return e.Kind == tune.Sounding })
}

// after sets a phrase after the tune.
func (b *binder) after(s Set, k Kind, own []tune.Bar) error {
	p := s[k]
	if p == nil {
		return nil
	}
	last := &own[len(own)-1]
	like, at, room := last, len(own)-1, tune.Ticks(0)
	if k == Turnaround {
		like, room = &own[0], b.pickup(own)
	}
	bars, err := b.bars(p, like, near(own, at), room)
	if err != nil {
		return err
	}
	number := b.t.Bars[len(b.t.Bars)-1].Number
	end := &b.t.Bars[b.out.Own+len(own)-1]
	if missing := last.Meter.Len() - last.Len; missing > 0 {
		fill := b.silent(last, missing)
		fill.Number = end.Number
		if k == Ending && s[Turnaround] != nil {
			fill.Number = number + 1 // the bar before is the turnaround's
			number++
		}
		bars = append([]tune.Bar{fill}, bars...)
	}
	for i := range bars {
		if bars[i].Number == 0 {
			number++
			bars[i].Number = number
		}
	}
	if end.Right.Repeat == 0 {
		end.Right.Style = tune.DoubleBarline
	}
	b.place(p, bars)
	if k == Ending || s[Ending] == nil {
		b.t.Bars[len(b.t.Bars)-1].Right.Style = tune.FinalBarline
	}
	return nil
}

// signs writes the way from the tune to the turnaround, back, and on.
func (b *binder) signs(s Set) {
	if s[Turnaround] == nil {
		return
	}
	bars := b.t.Bars
	first := &bars[b.out.Own]
	first.Signs = append(first.Signs, tune.Sign{Kind: tune.Segno})
	for _, p := range b.out.Parts {
		switch p.Phrase.Kind {
		case Turnaround:
			end, back := &bars[p.From-1], &bars[p.To-1]
			leave, jump := tune.Fine, tune.DalSegnoAlFine
			if s[Ending] != nil {
				leave, jump = tune.ToCoda, tune.DalSegnoAlCoda
			}
			end.Signs = append(end.Signs, tune.Sign{At: end.Len, Kind: leave})
			back.Signs = append(back.Signs, tune.Sign{At: back.Len, Kind: jump})
		case Ending:
			bars[p.From].Signs = append(bars[p.From].Signs, tune.Sign{Kind: tune.Coda})
		}
	}
}

// near returns the pitch of the tune that a phrase is to lie by: of its last note at
// or before a bar, or of its first after it; ok is false for a tune of rests.
func near(own []tune.Bar, at int) pitch.Name {
	top := func(b *tune.Bar, last bool) (out pitch.Name, ok bool) {
		for _, e := range b.Lines[0] {
			if e.Kind == tune.Sounding && !e.Notes[len(e.Notes)-1].Chop && (last || !ok) {
				out, ok = e.Notes[len(e.Notes)-1].Name, true
			}
		}
		return out, ok
	}
	for i := at; i >= 0; i-- {
		if n, ok := top(&own[i], at > 0); ok {
			return n
		}
	}
	for i := at; i < len(own); i++ {
		if n, ok := top(&own[i], false); ok {
			return n
		}
	}
	return pitch.Note(pitch.C, 0, 4) // a tune of rests, as a chart is
}

// tonicNear returns the tonic of a key nearest to a pitch, of two the lower.
func tonicNear(key pitch.Key, n pitch.Name) pitch.Name {
	best := pitch.Name{Class: key.Tonic, Octave: n.Octave - 1}
	for o := n.Octave; o <= n.Octave+1; o++ {
		c := pitch.Name{Class: key.Tonic, Octave: o}
		if apart(c, n) < apart(best, n) {
			best = c
		}
	}
	return best
}

func apart(a, b pitch.Name) int { return max(a.Key()-b.Key(), b.Key()-a.Key()) }

// silent makes a bar of rest of a length, in the key and meter of another. What
// is left of a bar behind a repeat is written at its length, so that nobody counts a
// whole one.
func (b *binder) silent(like *tune.Bar, length tune.Ticks) tune.Bar {
	bar := tune.Bar{Key: like.Key, Meter: like.Meter, Len: length}
	v := tune.Value{BarRest: true}
	if exact, ok := tune.ValueOf(length); ok && length < like.Meter.Len() {
		v = exact
	}
	for range b.t.Voices {
		bar.Lines = append(bar.Lines, []tune.Event{{Len: length, Kind: tune.Rest, Value: v}})
	}
	return bar
}

// bars writes a phrase as bars in the key and meter of another bar, in the octave
// nearest to a pitch; room is cut off its end, for a pickup.
func (b *binder) bars(p *Phrase, like *tune.Bar, by pitch.Name, room tune.Ticks) ([]tune.Bar, error) {
	items, length, err := p.read()
	if err != nil {
		return nil, err
	}
	tonic := tonicNear(like.Key, by)
	var bars []tune.Bar
	for at := tune.Ticks(0); at < length-room; at += like.Meter.Len() {
		bar := b.silent(like, min(like.Meter.Len(), length-room-at))
		var line []tune.Event
		for i := range items {
			x := &items[i]
			from, to := max(x.at, at), min(x.at+x.length, at+bar.Len)
			if from >= to {
				continue
			}
			e := tune.Event{At: from - at, Len: to - from, Kind: tune.Rest}
			if x.degree != "" {
				n, err := x.name(tonic)
				if err != nil {
					return nil, err
				}
				e.Kind, e.Notes = tune.Sounding, []tune.Note{{Name: n, Tie: x.at+x.length > to && to < length-room}}
			}
			line = append(line, e)
			if x.chord != "" && x.at >= at {
				c, err := pitch.ParseDegree(x.chord, like.Key.Tonic)
				if err != nil {
					return nil, err
				}
				bar.Chords = append(bar.Chords, tune.ChordAt{At: x.at - at, Text: c.String(), Chord: &c})
			}
		}
		if bar.Lines[0], err = tune.Notate(&bar, line); err != nil {
			return nil, err
		}
		bars = append(bars, bar)
	}
	return bars, nil
}
