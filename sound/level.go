package sound

import "math"

// The limiter that holds peaks under the ceiling: it looks this far ahead, and
// lets go this slowly, in seconds.
const (
	limitAhead   = 0.003
	limitRelease = 0.12
)

// maxLimiting is how far at most the limiter is made to work, in dB; a piece
// with taller peaks stays quieter than asked.
const maxLimiting = 12.0

// level brings the lead to a loudness and keeps every true peak of lead, click
// and their sum under the ceiling. What is in the lead already is turned up and down with it.
func level(lead, tick *Audio, lufs float64, with ...*Audio) {
	highest := 20 * math.Log10(float64(samplePeak(lead.Channels)))
	if !math.IsInf(highest, -1) {
		now := integrated(lead.Channels, nil)
		if math.IsInf(now, -1) {
			// Too short or too quiet to have a loudness: go by the peak alone.
			now = highest - 15
		}
		most := Ceiling - highest + maxLimiting
		by := min(lufs-now, most)
		scale(lead, by, with...)
		// Limiting takes some loudness away: give it back, and what that costs once more.
		for range 2 {
			gain := limit(lead, tick)
			if gain == nil {
				break
			}
			after := integrated(lead.Channels, gain)
			if math.IsInf(after, -1) {
				break
			}
			more := min(max(lufs-after, 0), 3, max(0, most-by))
			if more < 0.1 {
				break
			}
			scale(lead, more, with...)
			by += more
		}
	}
	if gain := limit(lead, tick); gain != nil {
		apply(lead, gain, with...)
		apply(tick, gain)
		limitPeak(lead, tick, with...)
	}
}

func scale(a *Audio, decibels float64, with ...*Audio) {
	g := float32(math.Pow(10, decibels/20))
	for _, a := range append(with, a) {
		for _, c := range a.Channels {
			for i := range c {
				c[i] *= g
			}
		}
	}
}

func apply(a *Audio, gain []float32, with ...*Audio) {
	for _, a := range append(with, a) {
		for _, c := range a.Channels {
			for i := range c {
				c[i] *= gain[i]
			}
		}
	}
}

// limit returns the gain for each sample that keeps lead, click and their sum
// under the ceiling, or nil when none is needed. The gain at a peak is reached
// smoothly over limitAhead and given back over limitRelease.
func limit(lead, tick *Audio) []float32 {
	n := lead.Len()
	ceiling := float32(math.Pow(10, (Ceiling-0.1)/20))
	ahead := int(limitAhead * Rate)
	var need []float32
	found := func(i int, peak float32) float32 {
		if need == nil {
			need = make([]float32, n)
			for k := range need {
				need[k] = 1
			}
		}
		need[i] = min(need[i], ceiling/peak)
		return ceiling
	}
	for _, c := range lead.Channels {
		overPeaks(c, ceiling, found)
		overMixPeaks(c, tick.Channels[0], ceiling, found)
	}
	overPeaks(tick.Channels[0], ceiling, found)
	if need == nil {
		return nil
	}
	// The lowest need of the window ahead, let go slowly, then averaged over the
	// window: never above the need where the peak is.
	held := make([]float32, n)
	release := float32(1 - math.Exp(-1/(limitRelease*Rate)))
	slidingMin(held, need, ahead)
	g := float32(1)
	for i, v := range held {
		if v < g {
			g = v
		} else {
			g += (v - g) * release
		}
		held[i] = g
	}
	acc := float64(ahead)
	for i := range need {
		acc += float64(held[i])
		if i >= ahead {
			acc -= float64(held[i-ahead])
		} else {
			acc--
		}
		need[i] = float32(acc / float64(ahead))
	}
	return need
}

// slidingMin puts into out[i] the least of in[i … i+width−1].
func slidingMin(out, in []float32, width int) {
	var queue []int
	n := len(in)
	for i := n - 1; i >= 0; i-- {
		for len(queue) > 0 && in[queue[len(queue)-1]] >= in[i] {
			queue = queue[:len(queue)-1]
		}
		queue = append(queue, i)
		if queue[0] >= i+width {
			queue = queue[1:]
		}
		out[i] = in[queue[0]]
	}
}

// limitPeak turns everything down by what is still over the ceiling: the gain's
// own movement can put a peak between two samples.
func limitPeak(lead, tick *Audio, with ...*Audio) {
	most := float32(max(truePeak(lead.Channels), truePeak(tick.Channels)))
	for _, c := range lead.Channels {
		overMixPeaks(c, tick.Channels[0], most, func(_ int, peak float32) float32 {
			most = peak
			return peak
		})
	}
	if over := 20*math.Log10(float64(most)) - Ceiling; over > 0 {
		scale(lead, -over, with...)
		scale(tick, -over)
	}
}
