package tune

import "fmt"

// Notate returns written values to the events of one line of a bar that have
// only a place and a length: At, Len and what sounds. It finds the tuplets that
// the lengths need, splits what no single value can write at the strongest
// places of the meter, and ties the parts. Values and tuplets already there are
// replaced. Readers use it for sources that do not say how a length is written.
//
// The events must follow each other without gap or overlap inside the bar. It
// fails when some length needs more than a tuplet of MaxTuplet notes in one
// beat or half of it.
func Notate(b *Bar, line []Event) ([]Event, error) {
	n := notator{b: b, line: line}
	if len(line) == 0 {
		return nil, nil
	}
	if len(line) == 1 && line[0].Kind != Sounding && line[0].At == 0 && line[0].Len == b.Len {
		e := line[0]
		e.Value, e.Tuplets = Value{BarRest: e.Kind == Rest}, nil
		return []Event{e}, nil
	}
	n.cuts = append(n.cuts, line[0].At)
	for i := range line {
		if line[i].At != n.cuts[len(n.cuts)-1] || line[i].Len <= 0 {
			return nil, fmt.Errorf("the event at %s does not follow the one before", line[i].At)
		}
		n.cuts = append(n.cuts, line[i].At+line[i].Len)
	}
	if err := n.stretch(n.cuts[0], n.cuts[len(n.cuts)-1]); err != nil {
		return nil, err
	}
	for _, l := range n.leaves {
		if err := n.write(l); err != nil {
			return nil, err
		}
	}
	return n.out, nil
}

// notator writes one line.
type notator struct {
	b      *Bar
	line   []Event
	cuts   []Ticks // where events begin and end
	leaves []leaf
	next   int   // event that the next piece belongs to
	done   Ticks // how much of it has been written
	out    []Event
}

// leaf is a stretch written plainly, or in one tuplet.
type leaf struct {
	lo, hi Ticks
	tuplet *Tuplet
}

// grain is the shortest plain value.
const grain = Whole >> MaxLog2

// plain reports whether a place can be reached without tuplets.
func plain(t Ticks) bool { return t%grain == 0 }

// inside returns the cuts strictly between lo and hi.
func (n *notator) inside(lo, hi Ticks) []Ticks {
	i, j := 0, len(n.cuts)
	for i < j && n.cuts[i] <= lo {
		i++
	}
	for j > i && n.cuts[j-1] >= hi {
		j--
	}
	return n.cuts[i:j]
}

// stretch finds the leaves of [lo, hi), whose ends are plain places.
// Neighbouring plain leaves become one.
func (n *notator) stretch(lo, hi Ticks) error {
	cuts := n.inside(lo, hi)
	rough := false
	for _, c := range cuts {
		rough = rough || !plain(c)
	}
	if !rough {
		if i := len(n.leaves) - 1; i >= 0 && n.leaves[i].tuplet == nil {
			n.leaves[i].hi = hi
		} else {
			n.leaves = append(n.leaves, leaf{lo, hi, nil})
		}
		return nil
	}
	parts := n.divide(lo, hi)
	// A tuplet over the whole stretch is better than one that a note has to
	// be tied across the middle of.
	if parts == nil || n.crosses(parts[1:], cuts) {
		if t, ok := n.tuplet(lo, hi, cuts); ok {
			n.leaves = append(n.leaves, leaf{lo, hi, &t})
			return nil
		}
	}
	if parts == nil {
		return fmt.Errorf("no tuplet of up to %d notes writes what is between %s and %s", MaxTuplet, lo, hi)
	}
	for i, p := range parts {
		end := hi
		if i+1 < len(parts) {
			end = parts[i+1]
		}
		if err := n.stretch(p, end); err != nil {
			return err
		}
	}
	return nil
}

// crosses reports whether a dividing place falls inside an event that begins or
// ends at a place only a tuplet can reach.
func (n *notator) crosses(at, cuts []Ticks) bool {
	for _, p := range at {
		i := 0
		for i < len(cuts) && cuts[i] < p {
			i++
		}
		if i < len(cuts) && cuts[i] == p {
			continue
		}
		if i > 0 && !plain(cuts[i-1]) || i < len(cuts) && !plain(cuts[i]) {
			return true
		}
	}
	return false
}

// divide returns where the parts of a stretch begin: beats of a bar, units of a
// compound beat, else halves; nil when it should not be divided further.
func (n *notator) divide(lo, hi Ticks) []Ticks {
	beat := n.b.Meter.Beat()
	length := hi - lo
	switch {
	case length > beat && (lo%beat != 0 || length%beat != 0):
		// To the next beat, then beats, then what is left.
		return []Ticks{lo, lo/beat*beat + beat}
	case length > beat && length/beat%2 == 0:
		return []Ticks{lo, lo + length/2}
	case length > 16*beat:
		// Far more than any bar has: halved, roughly, so that the work stays small.
		return []Ticks{lo, lo + length/beat/2*beat}
	case length > beat:
		var out []Ticks
		for at := lo; at < hi; at += beat {
			out = append(out, at)
		}
		return out
	case length == beat && beat*Ticks(max(n.b.Meter.Unit, 1)) == 3*Whole:
		return []Ticks{lo, lo + length/3, lo + length/3*2}
	case length <= Whole/128 || !plain(length/2):
		return nil
	}
	// Halves; a length that is no power of two gives up its largest power of
	// two first, so that what is left can hold any tuplet.
	u := Whole * 4
	for u >= length {
		u /= 2
	}
	return []Ticks{lo, lo + u}
}

// tuplet finds the smallest tuplet that reaches every cut of a stretch.
func (n *notator) tuplet(lo, hi Ticks, cuts []Ticks) (Tuplet, bool) {
	length := hi - lo
	num, _ := length.Fraction()
	odd := int(num)
	for odd%2 == 0 {
		odd /= 2
	}
	for q := 3; q < MaxTuplet; q++ {
		if q%2 == 0 && odd == 1 || odd > 1 && q%odd == 0 {
			continue
		}
		normal := odd
		for normal*2 < q {
			normal *= 2
		}
		if normal >= q {
			continue
		}
		ok := true
		for _, c := range cuts {
			w := (c - lo) * Ticks(q)
			ok = ok && w%Ticks(normal) == 0 && plain(w/Ticks(normal))
		}
		if ok && plain(length/Ticks(normal)) && length%Ticks(normal) == 0 {
			return Tuplet{Actual: q, Normal: normal}, true
		}
	}
	return Tuplet{}, false
}

// write returns the events of a leaf.
func (n *notator) write(l leaf) error {
	first := len(n.out)
	from := l.lo
	for _, c := range append(append([]Ticks{}, n.inside(l.lo, l.hi)...), l.hi) {
		if err := n.piece(from, c, l.tuplet); err != nil {
			return err
		}
		from = c
	}
	if l.tuplet != nil {
		n.out[first].Tuplets[0].Starts = true
		n.out[len(n.out)-1].Tuplets[0].Ends = true
	}
	return nil
}

// piece writes [from, to), which lies within one event.
func (n *notator) piece(from, to Ticks, t *Tuplet) error {
	length := to - from
	if t != nil {
		length = length * Ticks(t.Actual) / Ticks(t.Normal)
	}
	if v, ok := ValueOf(length); ok {
		n.put(to-from, v, t)
		return nil
	}
	if t == nil {
		if at, ok := n.strongest(from, to); ok {
			if err := n.piece(from, at, nil); err != nil {
				return err
			}
			return n.piece(at, to, nil)
		}
	}
	values, ok := Values(length)
	if !ok {
		return fmt.Errorf("no values write the length %s", to-from)
	}
	for _, v := range values {
		l := v.Len()
		if t != nil {
			l = l * Ticks(t.Normal) / Ticks(t.Actual)
		}
		n.put(l, v, t)
	}
	return nil
}

// strongest returns the place between from and to where the meter is strongest.
func (n *notator) strongest(from, to Ticks) (Ticks, bool) {
	beat := n.b.Meter.Beat()
	units := []Ticks{beat * 4, beat * 2, beat}
	if beat*Ticks(max(n.b.Meter.Unit, 1)) == 3*Whole {
		units = []Ticks{beat * 2, beat, beat / 3}
	}
	for units[0]*2 < to-from {
		units = append([]Ticks{units[0] * 2}, units...)
	}
	for u := units[len(units)-1] / 2; u > grain && plain(u); u /= 2 {
		units = append(units, u)
	}
	for _, u := range units {
		if at := from/u*u + u; at < to {
			return at, true
		}
	}
	return 0, false
}

// put adds one written event: the next part of the event in hand.
func (n *notator) put(length Ticks, v Value, t *Tuplet) {
	src := &n.line[n.next]
	e := *src
	e.At, e.Len, e.Value, e.Tuplets = src.At+n.done, length, v, nil
	if t != nil {
		e.Tuplets = []Tuplet{*t}
	}
	if e.Kind == Skip {
		e.Value = Value{}
	}
	first := n.done == 0
	n.done += length
	last := n.done == src.Len
	e.Notes = append([]Note(nil), src.Notes...)
	for i := range e.Notes {
		if !last {
			e.Notes[i].Tie, e.Notes[i].Glide = true, false
		}
		if !first {
			e.Notes[i].Scoop, e.Notes[i].Show, e.Notes[i].Courtesy = 0, false, false
		}
	}
	if !first {
		e.Graces, e.Marks, e.Lyrics, e.Slurs = nil, nil, nil, 0
	}
	if !last {
		e.SlurEnds, e.BeamEnd = 0, false
	}
	n.out = append(n.out, e)
	if last {
		n.next, n.done = n.next+1, 0
	}
}
