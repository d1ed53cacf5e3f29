package typed

import (
	"math"
	"slices"
	"strconv"

	"lapwright/tune"
)

// rhythmReader finds when the numbers of a text sound, and how long.
type rhythmReader struct {
	*guesses
	first *looseSystem
}

// meterOf finds the meter: as named, else the commonest sum of rhythm letters,
// else common time.
func (r *rhythmReader) meterOf(bars []*looseBar, named *tune.Meter) tune.Meter {
	if named != nil {
		return *named
	}
	sums := map[tune.Ticks]int{}
	for _, b := range bars {
		var sum tune.Ticks
		for _, sp := range b.letters {
			v, _, triplet := looseValue(sp.Text)
			l := v.Len()
			if triplet {
				l = l * 2 / 3
			}
			sum += l
		}
		if sum > 0 {
			sums[sum]++
		}
	}
	var best tune.Ticks
	for sum, n := range sums {
		if n > sums[best] || n == sums[best] && sum > best {
			best = sum
		}
	}
	m := tune.Meter{Beats: 4, Unit: 4}
	if best > 0 {
		for unit := 4; unit <= 16; unit *= 2 {
			if part := tune.Whole / tune.Ticks(unit); best%part == 0 && best/part <= tune.MaxBeats {
				m = tune.Meter{Beats: int(best / part), Unit: unit}
				break
			}
		}
		r.guess(bars[0].first.TextLine, 0, "no meter is named: the letters make %d/%d", m.Beats, m.Unit)
		return m
	}
	counted := 0
	for _, b := range bars {
		for _, sp := range b.counts {
			if n, err := strconv.Atoi(sp.Text); err == nil {
				counted = max(counted, n)
			}
		}
	}
	if counted > 1 {
		m.Beats = counted
		r.guess(bars[0].first.TextLine, 0, "no meter is named: counted to %d, taken as %d/4", counted, counted)
		return m
	}
	r.guess(bars[0].first.TextLine, 0, "no meter is named: taken as 4/4")
	return m
}

// timeBars gives every bar its length and every number its time.
func (r *rhythmReader) timeBars(bars []*looseBar, meter tune.Meter) {
	pad := 2.0
	var widths []float64
	for _, b := range bars {
		if len(b.starts) > 0 {
			pad = min(pad, b.starts[0])
		}
		widths = append(widths, b.width)
	}
	slices.Sort(widths)
	usual := widths[len(widths)/2]
	spaced := false
	for i, b := range bars {
		switch {
		case len(b.letters) > 0 && r.byLetters(b, meter):
			continue
		case len(b.counts) > 0 && r.byCount(b, meter):
			continue
		}
		if !spaced && len(b.clusters) > 0 {
			spaced = true
			r.guess(b.first.TextLine, b.from, "no rhythm is given here: lengths are taken from the spacing")
		}
		b.len = meter.Len()
		if i == 0 && len(bars) > 2 && b.width <= 0.6*usual {
			part := meter.Len() / tune.Ticks(2*meter.Beats)
			b.len = max(part, part*tune.Ticks(math.Round(b.width/usual*float64(2*meter.Beats))))
			r.guess(b.first.TextLine, b.from, "the first bar is narrow: taken as a pickup of %s of a whole note", b.len)
		}
		b.times = spacing(b.starts, pad, b.width, b.len, meter)
		b.follow()
	}
}

// follow makes the events of a bar from the times of its numbers: each lasts to
// the next.
func (b *looseBar) follow() {
	if len(b.times) == 0 {
		b.events = []looseEvent{{0, b.len, -1, nil, nil}}
		return
	}
	if b.times[0] > 0 {
		b.events = append(b.events, looseEvent{0, b.times[0], -1, nil, nil})
	}
	for i, at := range b.times {
		end := b.len
		if i+1 < len(b.times) {
			end = b.times[i+1]
		}
		b.events = append(b.events, looseEvent{at, end - at, i, nil, nil})
	}
}

// spacing turns columns into times: on the coarsest grid on which all of them
// fall near a line and no two on the same.
func spacing(starts []float64, pad, width float64, length tune.Ticks, meter tune.Meter) []tune.Ticks {
	if len(starts) == 0 {
		return nil
	}
	unit := tune.Whole / tune.Ticks(max(meter.Unit, 1))
	base := max(int(length/unit), 1)
	const near = 0.2 // of a line of the grid
	bestErr, best := math.Inf(1), []int(nil)
	bestN := 0
	for _, k := range [...]int{1, 2, 4, 3, 8, 6} {
		n := base * k
		if length%tune.Ticks(n) != 0 {
			continue
		}
		if _, ok := tune.Values(length / tune.Ticks(n)); !ok {
			continue // thirds of a beat need tuplets, which spacing can't show
		}
		// The dashes at the end of the bar may be one more or fewer than the
		// spacing asks for.
		for _, more := range [...]float64{0, 1, -1, 2} {
			room := width - pad + more
			if room <= 0 {
				continue
			}
			slots := make([]int, len(starts))
			worst, good := 0.0, true
			for i, s := range starts {
				x := (s - pad) / room * float64(n)
				slots[i] = max(int(math.Round(x)), 0)
				worst = max(worst, math.Abs(x-float64(slots[i])))
				good = good && slots[i] < n && (i == 0 || slots[i] > slots[i-1])
			}
			if !good {
				continue
			}
			if worst <= near {
				return atSlots(slots, length, n)
			}
			if worst < bestErr {
				bestErr, best, bestN = worst, slots, n
			}
		}
	}
	if best != nil {
		return atSlots(best, length, bestN)
	}
	// Too many for the bar: they share it in the shortest lengths that fit.
	n := base
	for n < len(starts) {
		n *= 2
	}
	slots := make([]int, len(starts))
	for i := range slots {
		slots[i] = i
	}
	return atSlots(slots, length, n)
}

func atSlots(slots []int, length tune.Ticks, n int) []tune.Ticks {
	out := make([]tune.Ticks, len(slots))
	for i, s := range slots {
		out[i] = length / tune.Ticks(n) * tune.Ticks(s)
	}
	return out
}

// byLetters times a bar by the letters of its rhythm line. It reports false
// when they don't suffice.
func (r *rhythmReader) byLetters(b *looseBar, meter tune.Meter) bool {
	owner := make([]int, len(b.letters)) // the cluster under each letter, −1 for none
	for i := range owner {
		owner[i] = -1
	}
	sounding := 0
	for _, sp := range b.letters {
		if _, rest, _ := looseValue(sp.Text); !rest {
			sounding++
		}
	}
	switch {
	case sounding == len(b.clusters):
		k := 0
		for i, sp := range b.letters {
			if _, rest, _ := looseValue(sp.Text); !rest {
				owner[i] = k
				k++
			}
		}
	case sounding < len(b.clusters):
		col := b.letters[len(b.letters)-1].Col
		r.guess(b.letterOn, col, "%d letters for %d numbers in this bar: its rhythm is taken from the spacing", sounding, len(b.clusters))
		return false
	default:
		// Letters over nothing are rests: each number takes the nearest letter.
		from := 0
		for c := range b.clusters {
			best, bestFar := -1, math.MaxInt
			for i := from; i <= len(b.letters)-(len(b.clusters)-c); i++ {
				if _, rest, _ := looseValue(b.letters[i].Text); rest {
					continue
				}
				far := b.letters[i].Col - b.spanCol(c)
				far = max(far, -far)
				if far < bestFar {
					best, bestFar = i, far
				}
			}
			if best < 0 {
				return false
			}
			owner[best] = c
			from = best + 1
		}
		for i, sp := range b.letters {
			if _, rest, _ := looseValue(sp.Text); !rest && owner[i] < 0 {
				r.guess(b.letterOn, sp.Col, "the letter %q stands over no number: taken as a rest", sp.Text)
			}
		}
	}
	b.times = make([]tune.Ticks, len(b.clusters))
	b.events = nil
	var at tune.Ticks
	var run int
	for i, sp := range b.letters {
		v, _, triplet := looseValue(sp.Text)
		e := looseEvent{at: at, cluster: owner[i], value: &v, len: v.Len()}
		if triplet {
			// Triplets go in threes, or as far as the letters do.
			last := i+1 == len(b.letters)
			if !last {
				_, _, more := looseValue(b.letters[i+1].Text)
				last = !more
			}
			e.tuplet = &tune.Tuplet{Actual: 3, Normal: 2, Starts: run == 0, Ends: run == 2 || last}
			run = (run + 1) % 3
			if e.tuplet.Ends {
				run = 0
			}
			e.len, _ = v.Scaled([]tune.Tuplet{*e.tuplet})
		}
		if owner[i] >= 0 {
			b.times[owner[i]] = at
		}
		b.events = append(b.events, e)
		at += e.len
	}
	b.len = at
	if full := meter.Len(); at != full && full > 0 && (b.index > 0 || b.sys != r.first || at > full) {
		r.guess(b.letterOn, b.letters[0].Col, "the letters of this bar make %s of a whole note, and the meter %s", at, full)
	}
	return true
}

// byCount times a bar by counted beats: "1 & 2 e & a".
func (r *rhythmReader) byCount(b *looseBar, meter tune.Meter) bool {
	unit := tune.Whole / tune.Ticks(max(meter.Unit, 1))
	var at []tune.Ticks
	beat := tune.Ticks(0)
	for _, sp := range b.counts {
		if n, err := strconv.Atoi(sp.Text); err == nil {
			beat = unit * tune.Ticks(n-1)
			at = append(at, beat)
			continue
		}
		switch sp.Text {
		case "e":
			at = append(at, beat+unit/4)
		case "a":
			at = append(at, beat+3*unit/4)
		default:
			at = append(at, beat+unit/2)
		}
	}
	var times []tune.Ticks
	for c := range b.clusters {
		best, bestFar := -1, 3
		for i, sp := range b.counts {
			far := sp.Col - b.spanCol(c)
			if far = max(far, -far); far < bestFar {
				best, bestFar = i, far
			}
		}
		if best < 0 {
			r.guess(b.countOn, b.spanCol(c), "no count stands over a number of this bar: its rhythm is taken from the spacing")
			return false
		}
		if n := len(times); n > 0 && at[best] <= times[n-1] || at[best] >= meter.Len() {
			r.guess(b.countOn, b.counts[best].Col, "the count %q is out of order: the rhythm of this bar is taken from the spacing", b.counts[best].Text)
			return false
		}
		times = append(times, at[best])
	}
	b.times, b.len = times, meter.Len()
	b.follow()
	return true
}
