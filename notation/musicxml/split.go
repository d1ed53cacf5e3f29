package musicxml

import "lapwright/tune"

// midLine is a barline inside a measure that repeats or begins or ends an ending.
type midLine struct {
	at        tune.Ticks
	left      tune.Barline // of the part before it: its right side
	right     tune.Barline
	endings   []int // that begin after it
	endsHere  bool  // an ending ends before it
	line, col int
}

// split makes one bar of each part of a measure that lines with repeats stand
// inside of; they share its number. Where a note sounds on over such a line the
// repeat is moved to the measure's edge, with a warning.
func split(r *reader, b rawBar, lines []midLine) []rawBar {
	out := []rawBar{b}
	for _, m := range lines {
		last := &out[len(out)-1]
		var start tune.Ticks
		for i := range out[:len(out)-1] {
			start += out[i].Len
		}
		at := m.at - start
		if at <= 0 || at >= last.Len || !last.opens(at) {
			r.warn(m.line, m.col, "a repeat or ending in the middle of a measure is moved to the measure's edge")
			last.Right.Repeat = max(last.Right.Repeat, m.left.Repeat)
			last.Left.Repeat = max(last.Left.Repeat, m.right.Repeat)
			last.EndingEnds = last.EndingEnds || m.endsHere
			if len(m.endings) > 0 {
				last.Endings = m.endings
			}
			continue
		}
		next := last.cut(at)
		last.Right, next.Left = m.left, m.right
		last.EndingEnds, next.Endings = m.endsHere, m.endings
		out = append(out, next)
	}
	return out
}

// opens reports whether nothing sounds on over a time.
func (b *rawBar) opens(at tune.Ticks) bool {
	for _, e := range b.events {
		if e.At < at && e.At+e.Len > at {
			return false
		}
	}
	return true
}

// cut takes what is from a time on out of the bar and returns it as a bar of its own.
func (b *rawBar) cut(at tune.Ticks) rawBar {
	next := rawBar{line: b.line, col: b.col}
	next.Number, next.Key, next.Meter = b.Number, b.Key, b.Meter
	next.Len, b.Len = b.Len-at, at
	next.Right, b.Right = b.Right, tune.Barline{}
	next.EndingEnds, b.EndingEnds = b.EndingEnds, false
	next.LineBreak, b.LineBreak = b.LineBreak, false
	events := b.events
	b.events = nil
	for _, e := range events {
		if e.At < at {
			b.events = append(b.events, e)
			continue
		}
		e.At -= at
		next.events = append(next.events, e)
	}
	b.Chords, next.Chords = parted(b.Chords, at, func(x *tune.ChordAt) *tune.Ticks { return &x.At })
	b.Texts, next.Texts = parted(b.Texts, at, func(x *tune.TextAt) *tune.Ticks { return &x.At })
	b.Tempos, next.Tempos = parted(b.Tempos, at, func(x *tune.Tempo) *tune.Ticks { return &x.At })
	b.Signs, next.Signs = parted(b.Signs, at, func(x *tune.Sign) *tune.Ticks { return &x.At })
	return next
}

// parted shares a list out at a time, from which the second counts.
func parted[T any](list []T, at tune.Ticks, when func(*T) *tune.Ticks) (before, after []T) {
	for _, x := range list {
		if t := when(&x); *t >= at {
			*t -= at
			after = append(after, x)
		} else {
			before = append(before, x)
		}
	}
	return before, after
}
