package sound

import "lapwright/tune"

// countBar returns the length of a whole bar to count in with, and what of it
// comes before a pickup.
func (w *scribe) countBar() (full, lead tune.Ticks) {
	first := &w.t.Tune.Bars[w.sc.passes[0].BarIndex]
	full = first.Meter.Len()
	if full == 0 {
		full = 4 * first.Meter.Beat()
	}
	return full, max(0, full-first.Len)
}

// leadIn returns how many seconds of clicks go before the music. The clock
// carries the first tempo on to before the start.
func (w *scribe) leadIn() float64 {
	if w.o.CountIn == 0 || len(w.sc.passes) == 0 {
		return 0
	}
	full, lead := w.countBar()
	return -w.clock.Seconds(-tune.Ticks(w.o.CountIn)*full-lead) / w.o.Speed
}

// count writes the clicks.
func (w *scribe) count() {
	bars := w.t.Tune.Bars
	if len(w.sc.passes) == 0 {
		return
	}
	if w.o.CountIn > 0 {
		full, lead := w.countBar()
		first := bars[w.sc.passes[0].BarIndex].Meter
		for n := range w.o.CountIn {
			w.clickBar(first, tune.Ticks(n-w.o.CountIn)*full-lead, 0, full)
		}
		w.clickBar(first, -lead, 0, lead)
	}
	if w.o.Click {
		for _, pass := range w.sc.passes {
			b := &bars[pass.BarIndex]
			from := tune.Ticks(0)
			if full := b.Meter.Len(); b.Number == 0 && b.Len < full {
				from = full - b.Len
			}
			w.clickBar(b.Meter, pass.Start-from, from, from+b.Len)
		}
	}
}

// clickBar writes the beats of one bar that starts at start and of which the
// stretch from lo to hi is heard.
func (w *scribe) clickBar(m tune.Meter, start, lo, hi tune.Ticks) {
	step := m.Beat()
	if step <= 0 {
		return
	}
	weigh := func(n int) int {
		if n == 0 && m.Beats > 0 {
			return 0
		}
		return 1
	}
	if len(m.Groups) > 0 {
		step = tune.Whole / tune.Ticks(max(m.Unit, 1))
		starts := map[int]bool{}
		sum := 0
		for _, g := range m.Groups {
			starts[sum] = true
			sum += g
		}
		weigh = func(n int) int {
			switch {
			case n == 0:
				return 0
			case starts[n]:
				return 1
			}
			return 2
		}
	}
	n := 0
	for at := tune.Ticks(0); at < hi; at += step {
		if at >= lo {
			w.sc.beats = append(w.sc.beats, beat{max(0, sampleAt(w.seconds(start+at))), weigh(n)})
		}
		n++
	}
}
