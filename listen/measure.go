package listen

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
)

// note is what a take did about one want.
type note struct {
	*want
	at, until float64 // in the take
	after     []laterPluck
	shared    bool // all its partials are another string's too: it can't be told from it
	single    bool // nothing else is plucked with it
	found     bool
	wrong     bool    // something else was played instead
	hz        float64 // of the settled part
	cents     float64 // against want.hz
	doubt     float64 // standard error of cents against other strings of the take, without bodyPull
	spread    float64 // of the curve in the settled part; negative when unknown
	partials  int     // how many speak for it
	trust     float64 // how far its partials are its own, 0 to 1
	loud      float64 // amplitude of its strongest partial
	curve     []point
	attack    attack
	vibrato   vibrato
}

// point is the pitch of a string at a moment.
type point struct {
	at, cents, loud float64
}

// attack is how a note comes to its pitch.
type attack struct {
	scoop   float64 // cents from the settled pitch at the beginning
	settles float64 // seconds until it is within settledWithin for good
}

// vibrato is the steel's motion to and fro; zero when there is none.
type vibrato struct {
	rate  float64 // a second
	width float64 // cents, from the middle to either side
}

// How a note is measured.
const (
	farOff        = 75.0  // cents: what is farther from the tab's pitch is another note
	blockedEarly  = 0.03  // seconds before the next note in which the string is being stopped
	attackSkip    = 0.04  // after the pluck, before the pitch is looked at
	curveStep     = 0.01  // seconds
	settledWithin = 12.0  // cents
	faint         = 0.03  // of the loudest, below which a point doesn't count
	mostPartials  = 8     // looked at for each string
	longLook      = 0.3   // seconds, the longest window
	absent        = 0.045 // of the group's loudest partial, below which a string was not played
	apart         = 3.0   // widths of a window's line, 1/length, by which partials must differ to be told apart
	modelDoubt    = 0.35  // cents that partials differ by however well they are measured
	bodyPull      = 0.75  // cents that the body pulls strings by, all at once alike (TestDoubtsHoldTheTruth)
)

// measurer measures the notes of a take.
type measurer struct {
	take  *Take
	look  *look
	notes []*note
}

// laterPluck is what another string is plucked to while a note rings on.
type laterPluck struct{ at, hz float64 }

// others are the pitches of what else may sound while a note does.
type others struct {
	with   []float64 // plucked together with it
	before []float64 // ringing on from before
}

// others finds what else may sound while a note does.
func (m *measurer) others(n *note) others {
	var out others
	for _, o := range m.notes {
		if o == n || o.pluck.String == n.pluck.String || o.at > n.until || o.until < n.at-0.2 || o.at < n.at-2.5 {
			continue
		}
		switch before := o.at < n.at-0.001; {
		case before && o.found:
			out.before = append(out.before, o.hz)
		case o.found:
			out.with = append(out.with, o.hz)
		case !before:
			out.with = append(out.with, o.want.hz)
		}
	}
	return out
}

// room returns how far the nearest partial of anything else lies from f, in hertz;
// own is the spacing of the string's own. What rings on from before at f itself
// does not count: no window parts the two, and how much f rose does (trust).
func (o others) room(f, own float64) float64 {
	least := own
	for _, w := range o.with {
		least = min(least, math.Abs(f-max(1, math.Round(f/w))*w))
	}
	for _, b := range o.before {
		if d := math.Abs(f - max(1, math.Round(f/b))*b); d > sameTone*f {
			least = min(least, d)
		}
	}
	return least
}

// closest returns the least room of a string's first four partials.
func (o others) closest(f float64) float64 {
	least := f
	for k := 1.0; k <= 4; k++ {
		least = min(least, o.room(k*f, f))
	}
	return least
}

// clear reports whether short windows tell a string of f apart from all others, so that its pitch can be followed.
func (o others) clear(f float64) bool {
	return o.closest(f)*0.12 > 3.2 || len(o.with)+len(o.before) == 0
}

// tooNear reports whether another string has a partial too near f for a window of a length; own is as in room.
func (o others) tooNear(f, own, long float64) bool { return o.room(f, own) < apart/long }

// sameTone is how near two partials are one, as a share of their frequency: 35
// cents.
const sameTone = 0.02

// measure finds the pitch of a string that the tab has, within farOff of where it
// should be.
func (m *measurer) measure(n *note) {
	n.spread = -1
	from, end, ok := n.middle()
	if !ok {
		return
	}
	o := m.others(n)
	first, ok := m.rough(n, from, min(end, from+0.35), o)
	if !ok {
		return
	}
	n.found, n.trust = true, 1
	n.hz = first
	if o.clear(first) {
		m.follow(n, first, from, end, o)
	}
	if n.spread < 0 {
		m.steady(n, first, from, end, o)
	}
	n.cents = centsOver(n.want.hz, n.hz)
	if n.trust < 0.5 {
		// What rang there before can't be told from it.
		n.doubt += 4
	}
}

// middle returns the part of a note that is looked at, between the pluck and the stopping of its string; a short
// note's is cut less. ok is false where too little is left.
func (n *note) middle() (from, end float64, ok bool) {
	from, end = n.at+attackSkip, n.until-blockedEarly
	if end-from < 0.05 {
		from, end = n.at+0.015, n.until-0.01
	}
	return from, end, end-from >= 0.035
}

// vote is what one partial says of a pitch.
type vote struct {
	cents, weight, loud float64
}

// rough finds a pitch within farOff of the wanted one: each partial is asked in a
// window as long as what lies beside it demands and no longer, and the weighted
// median of those that agree is taken.
func (m *measurer) rough(n *note, from, to float64, o others) (float64, bool) {
	f := n.want.hz
	var votes []vote
	asked := 0
	for i := range partialsOf(f, mostPartials) {
		k := float64(i + 1)
		space := o.room(k*f, f)
		long := max(3.2/space, 0.03)
		if long > min(longLook, to-from+0.03) {
			continue
		}
		asked++
		mid := min(from+long/2, (from+to)/2)
		m.look.pointAt(m.take, mid, long)
		p, ok := m.look.near(k*f, farOff)
		if !ok || !p.speaks() {
			continue
		}
		w := p.amplitude
		if n.begun {
			// What sounded there before counts for less.
			m.look.pointAt(m.take, n.at-long/2-0.004, long)
			was := m.look.strength(p.hz)
			w *= max(0.02, 1-was/p.amplitude)
		}
		votes = append(votes, vote{centsOver(f, p.hz/k), w * math.Sqrt(k), p.amplitude})
	}
	n.shared = asked == 0
	c, ok := n.elect(votes)
	return f * factor(c), ok
}

// elect counts the votes for a note's pitch, in cents from what is wanted: ok is false where no more than half of their
// weight agrees, or on another note.
func (n *note) elect(votes []vote) (cents float64, ok bool) {
	if len(votes) == 0 {
		return 0, false
	}
	c := weightedMedian(votes)
	agreed := 0.0
	for _, v := range agreeing(votes, c, 15) {
		agreed += v.weight
		n.partials++
		n.loud = max(n.loud, v.loud)
	}
	return c, agreed > 0.5*weightOf(votes) && math.Abs(c) <= farOff
}

// agreeing returns the votes that lie within so many cents of a pitch.
func agreeing(votes []vote, c, reach float64) []vote {
	var out []vote
	for _, v := range votes {
		if math.Abs(v.cents-c) < reach {
			out = append(out, v)
		}
	}
	return out
}

func weightOf(votes []vote) float64 {
	sum := 0.0
	for _, v := range votes {
		sum += v.weight
	}
	return sum
}

// weightedMedian returns the middle of votes, which it sorts.
func weightedMedian(votes []vote) float64 {
	inorder.Stable(votes, func(a, b vote) int { return cmp.Compare(a.cents, b.cents) })
	half := weightOf(votes) / 2
	middle, below := 0, votes[0].weight
	for below < half {
		middle++
		below += votes[middle].weight
	}
	return votes[middle].cents
}

// follow draws the curve of a string that can be told from all others in short
// windows, and measures its settled part.
func (m *measurer) follow(n *note, f, from, end float64, o others) {
	long := max(6/f, 0.03, 3.2/o.closest(f))
	weights := m.trust(n, f, long)
	n.trust = slices.Max(weights)
	parted := n.parted(f, long)
	var looks []curveLook
	for at := from - attackSkip/2; at <= end-long/3; at += curveStep {
		m.look.pointAt(m.take, at, long)
		c := curveLook{at: at}
		for i, trust := range weights {
			k := float64(i + 1)
			if trust == 0 || at > parted[i] {
				continue
			}
			if p, ok := m.look.near(k*f, 60); ok {
				c.votes[i] = vote{centsOver(n.want.hz, p.hz/k), trust * k * k * p.amplitude * p.amplitude, p.amplitude}
			}
		}
		looks = append(looks, c)
	}
	n.agree(looks, weights)
	for i := range looks {
		sum, weight, loud := 0.0, 0.0, 0.0
		for k, own := range weights {
			if v := looks[i].votes[k]; own > 0 {
				sum += v.weight * v.cents
				weight += v.weight
				loud += v.loud * v.loud
			}
		}
		if weight > 0 {
			n.curve = append(n.curve, point{looks[i].at, sum / weight, math.Sqrt(loud)})
		}
	}
	n.curve = audible(n.curve)
	n.findSettled()
}

// audible leaves out the points of a curve that are too faint to count.
func audible(curve []point) []point {
	loudest := 0.0
	for _, p := range curve {
		loudest = max(loudest, p.loud)
	}
	return slices.DeleteFunc(curve, func(p point) bool { return p.loud < faint*loudest })
}

// curveLook is what the partials say at one moment.
type curveLook struct {
	at    float64
	votes [curvePartials]vote
}

// curvePartials is how many partials a curve is drawn by. Modes of the body pull the low
// partials of low strings; of twelve the others outweigh these.
const curvePartials = 12

// strayCents is how far a partial of a string may lie from the others; farther
// off, something else sounds there.
const strayCents = 5.0

// agree sets the weights of those partials to 0 that stray from the middle of
// all over the note. Where most of the weight strays the pitch is in doubt.
func (n *note) agree(looks []curveLook, weights []float64) {
	var means []vote
	var which []int
	for k := range weights {
		sum, weight := 0.0, 0.0
		for i := range looks {
			sum += looks[i].votes[k].weight * looks[i].votes[k].cents
			weight += looks[i].votes[k].weight
		}
		if weight > 0 {
			means = append(means, vote{cents: sum / weight, weight: math.Sqrt(weight)})
			which = append(which, k)
		}
	}
	if len(means) < 3 {
		return
	}
	c := weightedMedian(slices.Clone(means))
	all, stray := 0.0, 0.0
	for i, v := range means {
		all += v.weight
		if math.Abs(v.cents-c) > strayCents {
			stray += v.weight
			weights[which[i]] = 0
		}
	}
	if stray > 0.4*all {
		n.trust = min(n.trust, 0.4)
	}
}

// trust says for each partial how much of it is the string's own: what sounded
// there before the pluck does not count.
func (m *measurer) trust(n *note, f, long float64) []float64 {
	out := slices.Repeat([]float64{1}, partialsOf(f, curvePartials))
	if !n.begun {
		return out
	}
	was := make([]float64, len(out))
	m.look.pointAt(m.take, n.at-long/2-0.004, long)
	for i := range was {
		was[i] = m.look.strength(float64(i+1) * f)
	}
	m.look.pointAt(m.take, n.at+long/2+0.02, long)
	for i := range out {
		is := m.look.strength(float64(i+1) * f)
		out[i] = max(0, 1-2*was[i]/(is+1e-9))
	}
	if slices.Max(out) == 0 {
		return slices.Repeat([]float64{1e-3}, len(out))
	}
	return out
}

// parted returns for each partial until when windows of a length look at this string
// alone: until a string is plucked, while this one rings on, that has a partial too near
// for such a window.
func (n *note) parted(f, long float64) [curvePartials]float64 {
	var out [curvePartials]float64
	for i := range out {
		out[i] = math.Inf(1)
		for _, l := range n.after {
			if (others{with: []float64{l.hz}}).tooNear(float64(i+1)*f, f, long) {
				out[i] = min(out[i], l.at-long/2)
			}
		}
	}
	return out
}

// findSettled finds the settled part of the curve, the longest stretch that stays
// within reach of its middle, and what comes before.
func (n *note) findSettled() {
	if len(n.curve) < 3 {
		return
	}
	values := make([]float64, len(n.curve))
	for i, p := range n.curve {
		values[i] = p.cents
	}
	middle := median(values)
	reach := settledWithin
	if n.pluck.Vibrato {
		reach = 45
	}
	from, to, start := 0, 0, -1
	for i := 0; i <= len(n.curve); i++ {
		if i < len(n.curve) && math.Abs(n.curve[i].cents-middle) <= reach {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 && i-start > to-from {
			from, to = start, i
		}
		start = -1
	}
	if to-from < 3 {
		return
	}
	// A short note's first points still hold the attack.
	part := n.curve[from:to]
	if len(part) > 8 {
		part = part[2 : len(part)-1]
	}
	var sum, weight, square float64
	for _, p := range part {
		sum += p.loud * p.cents
		weight += p.loud
	}
	mean := sum / weight
	for _, p := range part {
		square += p.loud * (p.cents - mean) * (p.cents - mean)
	}
	n.hz = n.want.hz * factor(mean)
	n.spread = math.Sqrt(square / weight)
	n.doubt = math.Hypot(modelDoubt, n.spread/math.Sqrt(float64(len(part))/3))
	n.attack = attack{n.curve[0].cents - mean, n.curve[from].at - n.at}
	n.vibrato = findVibrato(part, mean)
}

// steady measures a string among others: in the longest windows that its note
// allows, by the partials that stand clear of all others; those shared with
// another string are left out.
func (m *measurer) steady(n *note, f, from, end float64, o others) {
	long := min(longLook, end-from+0.02)
	var votes []vote
	for _, at := range looksAlong(from, end, long) {
		m.look.pointAt(m.take, at, long)
		for i := range partialsOf(f, 2*mostPartials) {
			k := float64(i + 1)
			if o.tooNear(k*f, f, long) {
				continue
			}
			if p, ok := m.look.near(k*f, 25); ok && p.speaks() {
				votes = append(votes, vote{centsOver(n.want.hz, p.hz/k), k * p.amplitude, p.amplitude})
			}
		}
	}
	if len(votes) == 0 {
		// All its partials are shared: what was found is a guess.
		n.doubt, n.partials = 8, 0
		return
	}
	n.average(votes)
}

// average takes the mean of those votes that agree for a note's pitch. Where most don't agree it is in doubt.
func (n *note) average(votes []vote) {
	sum, weight, square := 0.0, 0.0, 0.0
	agreed := agreeing(votes, weightedMedian(votes), 6)
	for _, v := range agreed {
		w := v.weight * v.weight
		sum += w * v.cents
		weight += w
	}
	c := sum / weight
	for _, v := range agreeing(votes, c, 6) {
		square += v.weight * v.weight * (v.cents - c) * (v.cents - c)
	}
	n.hz = n.want.hz * factor(c)
	n.spread = math.Sqrt(square / weight)
	n.doubt = math.Hypot(modelDoubt, n.spread/math.Sqrt(float64(max(1, len(agreed)-1))))
	if len(agreed)*2 < len(votes) {
		n.doubt += 3
	}
}

// looksAlong returns the middles of windows of a length, each over half of the one before, that a note is measured in.
func looksAlong(from, end, long float64) []float64 {
	out := []float64{from + long/2 - 0.01}
	for last := out[0]; last+long <= end+0.02; {
		last += long / 2
		out = append(out, last)
	}
	return out
}

// findVibrato looks for a motion of 3 to 9 a second in the settled part: the rate
// at which a sine fits the curve best, and its width.
func findVibrato(part []point, mean float64) vibrato {
	if len(part) < 30 {
		return vibrato{}
	}
	total := 0.0
	for _, p := range part {
		total += (p.cents - mean) * (p.cents - mean)
	}
	best, power := 0.0, 0.0
	for rate := 3.0; rate <= 9; rate += 0.1 {
		var c, s float64
		for _, p := range part {
			sin, cos := math.Sincos(2 * math.Pi * rate * p.at)
			c += (p.cents - mean) * cos
			s += (p.cents - mean) * sin
		}
		if e := 2 * (c*c + s*s) / float64(len(part)); e > power {
			best, power = rate, e
		}
	}
	width := math.Sqrt(2 * power / float64(len(part)))
	if power < 0.5*total || width < 3 {
		return vibrato{}
	}
	return vibrato{best, width}
}
