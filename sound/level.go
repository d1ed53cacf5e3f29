package sound

import (
	"math"

	"lapwright/sound/loudness"
)

// Loudness returns the integrated loudness of a recording in LUFS and its highest
// true peak in dBTP, as a loudness.Meter measures them.
func Loudness(a *Audio) (lufs, peak float64) {
	var m loudness.Meter
	m.Add(a.Channels...)
	return m.Loudness(), m.TruePeak()
}

// maxLimiting is how far at most the limiter is made to work, in dB; a piece
// with taller peaks stays quieter than asked.
const maxLimiting = 12.0

// leveller hears a piece through once, as it comes from the strings, and says how far it is to be
// turned up.
type leveller struct {
	meter       loudness.Meter
	lead, click []float32 // peaks of each cell
	at          int       // samples in the cell in hand
}

// add takes the next samples.
func (l *leveller) add(b *Block) {
	l.meter.Add(b.Left, b.Right)
	for from, n := 0, b.Len(); from < n; {
		size := min(loudness.CellSize-l.at, n-from)
		if l.at == 0 {
			l.lead, l.click = append(l.lead, 0), append(l.click, 0)
		}
		k := len(l.lead) - 1
		to := from + size
		l.lead[k] = max(l.lead[k], loudness.Loudest(b.Left[from:to]), loudness.Loudest(b.Right[from:to]))
		l.click[k] = max(l.click[k], loudness.Loudest(b.Click[from:to]))
		from = to
		l.at = (l.at + size) % loudness.CellSize
	}
}

// gain returns the decibels that bring the lead to a loudness in LUFS once the limiter has taken
// its share, worked out by the cell.
func (l *leveller) gain(lufs float64) float64 {
	highest := float32(0)
	for _, p := range l.lead {
		highest = max(highest, p)
	}
	if highest == 0 {
		return 0
	}
	top := 20 * math.Log10(float64(highest))
	now := l.meter.Loudness()
	if math.IsInf(now, -1) {
		// Too short or too quiet to have a loudness: go by the peak alone.
		now = top - 15
	}
	most := Ceiling - top + maxLimiting
	by := min(lufs-now, most)
	// Limiting takes some loudness away: give it back, and what that costs once more.
	for range 3 {
		after := loudness.Integrated(l.meter.Cells(), l.limited(by))
		if math.IsInf(after, -1) {
			break
		}
		more := min(max(lufs-after-by, 0), 3, max(0, most-by))
		if more < 0.05 {
			break
		}
		by += more
	}
	return by
}

// limited returns about what the limiter's gain comes to in each cell when the lead is turned
// up by so many decibels.
func (l *leveller) limited(by float64) []float32 {
	up, ceiling := float32(amplitude(by)), float32(amplitude(Ceiling-0.1))
	release := float32(1 - math.Exp(-loudness.CellSize/(loudness.Release*Rate)))
	need := func(k int) float32 {
		if k >= len(l.lead) {
			return 1
		}
		return min(1, ceiling/max(up*l.lead[k]+l.click[k], 1e-9))
	}
	out := make([]float32, len(l.lead))
	g := float32(1)
	for k := range out {
		v := min(need(k), need(k+1))
		g = min(v, g+(v-g)*release)
		out[k] = g
	}
	return out
}

// amplitude returns the factor of a level in decibels.
func amplitude(decibels float64) float64 { return math.Pow(10, decibels/20) }

// Block is a stretch of a recording; all parts are of one length.
type Block struct {
	Left, Right []float32 // the instrument
	Click       []float32 // the count-in and click
	// Contact is what of the instrument, on both sides, is the steel sliding and landing.
	Contact []float32
	// Backing is what Options.Band plays, left and right; both are nil without one.
	Backing [2][]float32
}

// Len returns the number of samples.
func (b *Block) Len() int { return len(b.Left) }

// Mix adds click and backing to the instrument.
func (b *Block) Mix() {
	for i, v := range b.Click {
		b.Left[i] += v
		b.Right[i] += v
	}
	for i, v := range b.Backing[0] {
		b.Left[i] += v
		b.Right[i] += b.Backing[1][i]
	}
}

// parts returns the parts, to be worked on alike.
func (b *Block) parts() []*[]float32 {
	out := []*[]float32{&b.Left, &b.Right, &b.Click, &b.Contact}
	if b.Backing[0] != nil {
		out = append(out, &b.Backing[0], &b.Backing[1])
	}
	return out
}

// resize makes the block n samples long; what it holds is left as it is.
func (b *Block) resize(n int) {
	for _, p := range b.parts() {
		if cap(*p) < n {
			*p = append(make([]float32, 0, n), *p...)
		}
		*p = (*p)[:n]
	}
}

// slice returns part of a block; it shares the samples.
func (b *Block) slice(from, to int) Block {
	out := Block{Left: b.Left[from:to], Right: b.Right[from:to], Click: b.Click[from:to], Contact: b.Contact[from:to]}
	for c, x := range b.Backing {
		if x != nil {
			out.Backing[c] = x[from:to]
		}
	}
	return out
}

// copy takes over another block's samples, as many as it has.
func (b *Block) copy(from *Block) {
	to, of := b.parts(), from.parts()
	for p := range to {
		copy(*to[p], *of[p])
	}
}

// mastering turns the instrument up and holds the peaks of instrument, click and their sum under the
// ceiling, so that they may be mixed as they are. What comes out is loudness.Delay samples late.
type mastering struct {
	up      float32
	limiter *loudness.Limiter
	wait    Block // what the limiter still looks ahead over, then the block in hand
	sums    [][]float32
	watched [][]float32
	out     Block
}

func newMastering(gain float64, like Block) *mastering {
	m := &mastering{up: float32(amplitude(gain)), wait: like, out: like}
	m.sums = make([][]float32, 2)
	if like.Backing[0] != nil {
		m.sums = make([][]float32, 8)
		m.wait.Backing, m.out.Backing = [2][]float32{{}, {}}, [2][]float32{{}, {}}
	}
	m.limiter = loudness.NewLimiter(len(m.watch(like)), Ceiling)
	m.wait.resize(loudness.Delay)
	return m
}

// watch returns what is to stay under the ceiling: whatever is heard of instrument, click and backing
// together, each by itself, two of them or all.
func (m *mastering) watch(b Block) [][]float32 {
	m.watched = append(m.watched[:0], b.Left, b.Right, b.Click)
	sum := func(k int, parts ...[]float32) {
		s := append(m.sums[k][:0], parts[0]...)
		for _, p := range parts[1:] {
			for i, v := range p {
				s[i] += v
			}
		}
		m.sums[k] = s
		m.watched = append(m.watched, s)
	}
	for c, lead := range [2][]float32{b.Left, b.Right} {
		sum(c, lead, b.Click)
		if back := b.Backing[c]; back != nil {
			m.watched = append(m.watched, back)
			sum(2+c, lead, back)
			sum(4+c, back, b.Click)
			sum(6+c, lead, back, b.Click)
		}
	}
	return m.watched
}

// add takes the next samples and gives as many, those of loudness.Delay before. The answer holds until
// the next call.
func (m *mastering) add(b *Block) *Block {
	n := b.Len()
	m.wait.resize(loudness.Delay + n)
	w := m.wait.slice(loudness.Delay, loudness.Delay+n)
	for i := range n {
		w.Left[i], w.Right[i], w.Contact[i] = m.up*b.Left[i], m.up*b.Right[i], m.up*b.Contact[i]
	}
	copy(w.Click, b.Click)
	for c := range b.Backing {
		copy(w.Backing[c], b.Backing[c])
	}
	gain := m.limiter.Add(m.watch(w)...)
	m.out.resize(n)
	out, wait := m.out.parts(), m.wait.parts()
	for p := range out {
		for i, g := range gain {
			(*out[p])[i] = (*wait[p])[i] * g
		}
		copy(*wait[p], (*wait[p])[n:])
	}
	m.wait.resize(loudness.Delay)
	return &m.out
}
