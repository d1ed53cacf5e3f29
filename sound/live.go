package sound

import (
	"math"
	"slices"

	"lapwright/sound/loudness"
	"lapwright/tab"
	"lapwright/tune"
)

// Live sounds a tab while somebody listens: it may be begun at any bar, its tempo changed
// on the way, and a row of bars played over and over. What rings goes on ringing through a change of tempo and over
// the seam of a loop. It is for one goroutine, which asks for blocks and says what is
// wished between them.
type Live struct {
	t      *tab.Tab
	o      Options // settled, with the speed in hand
	whole  *tune.Performance
	master *mastering
	begun  bool

	perf  *tune.Performance // what is played: the piece, or part of it
	spans []tune.Span       // of whole's passes, in the order of perf's
	sc    *score
	// compass is the score of the whole piece, by which strings are made long enough for all of it.
	compass *score
	m       *playing
	since   int // the sample of m's at which sc was taken up
	from    int // and where in sc that was
	round   uint64

	piece, tail Block
	part        Block // of piece, up to a seam
	tailAt      int   // samples of the tail that are heard already
}

// The end of what was sounding before a jump fades within this many samples, 10 ms; what rings into a
// bar that is begun at is sounded from so many seconds before.
const (
	tailLength = 480
	ringBefore = 1.0
)

// Place is a place in a piece as it sounds.
type Place struct {
	Pass int        // index into the bars in sounding order (Timing.Bars)
	At   tune.Ticks // from its start; before the first bar, in a count-in, negative
}

// NewLive prepares to sound a tab from its start, count-in and click as in o, whose Gain must be
// known (Gain). Errors are those of RenderStems.
func NewLive(t *tab.Tab, o Options) (*Live, error) {
	if o.Gain == nil {
		return nil, refuse("what is sounded while it is heard needs its gain beforehand")
	}
	o, err := o.settled()
	if err != nil {
		return nil, err
	}
	o.Progress = nil
	p, err := newPlaying(t, o)
	if err != nil {
		return nil, err
	}
	l := &Live{t: t, o: o, whole: t.Performance(), master: newMastering(*o.Gain, p.block()), piece: p.block(), part: p.block(), m: p, sc: p.sc, compass: p.sc}
	l.perf, l.spans = l.whole, []tune.Span{{From: 0, To: len(l.whole.Passes)}}
	return l, nil
}

// Next gives the next samples, so many or, at the end of the piece, fewer; nil when it is over. The block
// holds until the next call. A loop has no end.
func (l *Live) Next(samples int) *Block {
	if !l.begun { // the limiter looks ahead
		l.begun = true
		l.make(loudness.Delay)
		l.master.add(&l.piece)
	}
	samples = min(samples, l.m.length+loudness.Delay-l.m.at)
	if samples <= 0 {
		return nil
	}
	l.make(samples)
	return l.master.add(&l.piece)
}

// make puts the next n samples into the piece, round the seam of a loop where it is reached.
func (l *Live) make(n int) {
	l.piece.resize(0)
	l.piece.resize(n)
	for done := 0; done < n; {
		size := n - done
		if len(l.spans) > 1 {
			seam := l.since + l.startOf(len(l.spans)-1) - l.from
			if l.m.at >= seam {
				l.again()
				continue
			}
			size = min(size, seam-l.m.at)
		}
		l.m.next(&l.part, size) // tells nobody, so it is not stopped
		to := l.piece.slice(done, done+size)
		to.copy(&l.part)
		done += size
	}
	if left := min(n, l.tail.Len()-l.tailAt); left > 0 {
		old := l.tail.slice(l.tailAt, l.tailAt+left)
		to, from := l.piece.parts(), old.parts()
		for p := range to {
			for i, v := range *from[p] {
				(*to[p])[i] += v
			}
		}
		l.tailAt += left
	}
}

// startOf returns the sample of the score at which a span begins.
func (l *Live) startOf(span int) int {
	i := 0
	for _, s := range l.spans[:span] {
		i += s.To - s.From
	}
	return sampleAt(l.sc.countIn + l.perf.Clock.Seconds(l.perf.Passes[i].Start)/l.o.Speed)
}

// again takes up a loop at its second round from the start of its last, where everything is as it was
// then; the hand plays it anew.
func (l *Live) again() {
	l.round++
	last := len(l.spans) - 1
	at := l.startOf(last - 1)
	if sc, err := l.write(); err == nil { // it could be written before
		l.sc = sc
	}
	l.take(at)
}

// write writes the score of what is played.
func (l *Live) write() (*score, error) {
	o := l.o
	o.Seed += l.round * 0x9e3779b9
	if len(l.spans) > 1 || l.spans[0].From > 0 {
		o.CountIn = 0
	}
	return writeAs(l.t, o, l.perf)
}

// take lets the strings go on as the score has it from a sample of it on.
func (l *Live) take(from int) {
	l.m.m.take(l.sc, from, l.m.at)
	l.since, l.from = l.m.at, from
	l.m.sc, l.m.o.Speed = l.sc, l.o.Speed
	if err := l.m.invite(l.t, l.perf, from, l.m.at); err != nil {
		panic("sound: " + err.Error()) // it began before
	}
	l.m.length = l.m.at + l.sc.length() - from
	if len(l.spans) > 1 {
		l.m.length = math.MaxInt / 2
	}
}

// now returns the seconds of the piece, at its written tempo, that the clock of what is played shows at a
// sample of m's.
func (l *Live) now(sample int) float64 {
	return (float64(l.from+sample-l.since)/Rate - l.sc.countIn) * l.o.Speed
}

// Now returns which place of the piece the last block ended at.
func (l *Live) Now() Place {
	at := l.perf.Clock.At(l.now(max(l.since, l.m.at-loudness.Delay)))
	if len(l.perf.Passes) == 0 {
		return Place{}
	}
	i := l.playedAt(at)
	return Place{Pass: l.passOf(i), At: at - l.perf.Passes[i].Start}
}

// playedAt returns the index among what is played of the pass that a place is in.
func (l *Live) playedAt(at tune.Ticks) int {
	i, found := slices.BinarySearchFunc(l.perf.Passes, at, func(p tune.Pass, at tune.Ticks) int { return int(p.Start - at) })
	if found {
		return i
	}
	return max(0, i-1)
}

// passOf returns which pass of the whole piece is played i-th.
func (l *Live) passOf(i int) int {
	for _, s := range l.spans {
		n := s.To - s.From
		if i < n {
			return s.From + i
		}
		i -= n
	}
	return 0
}

// SetSpeed changes the tempo from the next block on, at the place where it is. Errors
// are a speed out of range, or one at which the piece is too long.
func (l *Live) SetSpeed(x float64) error {
	was, at := *l, l.now(l.m.at)
	l.o.Speed = x
	var err error
	if l.o, err = l.o.settled(); err == nil {
		l.sc, err = l.write()
	}
	if err != nil {
		*l = was
		return err
	}
	l.take(sampleAt(l.sc.countIn + at/l.o.Speed))
	return nil
}

// Start goes on from the beginning of a pass, without count-in; what rings into it is heard, and
// a loop that does not hold it ends. The error is a pass that there is not.
func (l *Live) Start(pass int) error {
	if pass < 0 || pass >= len(l.whole.Passes) {
		return refuse("there is no bar %d among the %d that sound", pass+1, len(l.whole.Passes))
	}
	spans := []tune.Span{{From: 0, To: len(l.whole.Passes)}}
	if n := len(l.spans); n > 1 && l.spans[n-1].From <= pass && pass < l.spans[n-1].To {
		spans = l.looped(l.spans[n-1], l.ringsFrom(pass))
	}
	return l.begin(spans, pass)
}

// Loop plays passes from..to-1 over and over: at once when the place is among them, else from the first on. With
// from equal to to the piece goes on after the round in hand.
func (l *Live) Loop(from, to int) error {
	n := len(l.whole.Passes)
	if from < 0 || to > n || from > to {
		return refuse("there is no row of bars from %d to %d among the %d that sound", from+1, to, n)
	}
	place := l.Now()
	span := tune.Span{From: from, To: to}
	switch {
	case from == to:
		if len(l.spans) == 1 {
			return nil
		}
		return l.goOn([]tune.Span{{From: 0, To: n}})
	case from <= place.Pass && place.Pass < to && place.At >= 0:
		return l.goOn([]tune.Span{span, span, span})
	}
	return l.begin(l.looped(span, l.ringsFrom(from)), from)
}

// looped is a loop of three rounds, of which the middle one is played for ever, with what rings into it.
func (l *Live) looped(loop tune.Span, rings int) []tune.Span {
	spans := []tune.Span{loop, loop, loop}
	if rings < loop.From {
		spans = append([]tune.Span{{From: rings, To: loop.From}}, spans...)
	}
	return spans
}

// ringsFrom returns the pass from which on what rings into another is sounded.
func (l *Live) ringsFrom(pass int) int {
	at := l.whole.Clock.Seconds(l.whole.Passes[pass].Start)
	for pass > 0 && at-l.whole.Clock.Seconds(l.whole.Passes[pass].Start) < ringBefore*l.o.Speed {
		pass--
	}
	return pass
}

// goOn plays other spans from the place where it is, which must be in them.
func (l *Live) goOn(spans []tune.Span) error {
	at := l.now(l.m.at)
	i := l.playedAt(l.perf.Clock.At(at))
	past := at - l.perf.Clock.Seconds(l.perf.Passes[i].Start)
	i = l.passOf(i)
	was := *l
	l.spans, l.perf = spans, l.whole.Rearranged(spans...)
	sc, err := l.write()
	if err != nil {
		*l = was
		return err
	}
	l.sc = sc
	l.take(sampleAt(sc.countIn + (l.perf.Clock.Seconds(l.perf.Passes[i-spans[0].From].Start)+past)/l.o.Speed))
	return nil
}

// begin plays spans from a pass on, which must be in them, on strings that are still but for what rings into it.
func (l *Live) begin(spans []tune.Span, pass int) error {
	was := *l
	l.spans, l.perf = spans, l.whole.Rearranged(spans...)
	sc, err := l.write()
	if err != nil {
		*l = was
		return err
	}
	old := l.m
	l.sc = sc
	i := pass - spans[0].From
	if len(spans) > 1 && pass >= spans[1].From && spans[1].From >= spans[0].To { // after what rings into it
		i = spans[0].To - spans[0].From + pass - spans[1].From
	}
	at := sampleAt(sc.countIn + l.perf.Clock.Seconds(l.perf.Passes[i].Start)/l.o.Speed)
	rings := min(at, sampleAt(ringBefore))
	l.m = &playing{o: l.o, m: assembleAs(l.t.Rig, l.compass, l.o, old.m)}
	l.take(at - rings)
	unheard := l.m.block()
	for left := rings; left > 0; left -= unheard.Len() {
		l.m.next(&unheard, min(left, blockSize))
	}
	l.tail, l.tailAt = l.m.block(), 0
	if l.begun {
		old.next(&l.tail, tailLength)
		for _, p := range l.tail.parts() {
			for i := range *p {
				(*p)[i] *= float32(0.5 + 0.5*math.Cos(math.Pi*float64(i)/tailLength))
			}
		}
	}
	return nil
}

// take lets a machine go on as a score has it from sample from on, which is the machine's sample at.
func (m *machine) take(sc *score, from, at int) {
	for s, str := range m.strings {
		str.take(sc.parts[s], from, at)
	}
	m.knocks.take(sc.knocks, from, at)
	m.lands.take(sc.landings, from, at)
	m.click.Take(sc.beats, from, at)
}

func (k *knocker) take(list []knock, from, at int) {
	k.knocks, k.next = nil, 0
	for _, b := range list {
		if b.at >= from {
			b.at += at - from
			k.knocks = append(k.knocks, b)
		}
	}
}

// take lets a string go on as another part has it. A move of the steel that is under way is
// carried to its end from where the string is.
func (s *stringModel) take(p stringPart, from, at int) {
	shift := at - from
	var under []wobble // vibrato goes on as it swings
	if s.nextWobble < len(s.wobbles) && s.wobbles[s.nextWobble].from < at {
		under = s.wobbles[s.nextWobble : s.nextWobble+1]
	}
	out := stringPart{first: p.first}
	key, barred := p.first, false
	for _, w := range p.sweeps {
		if w.to <= from {
			key, barred = w.key, w.barred
			continue
		}
		w.from, w.to = max(at, w.from+shift), w.to+shift
		out.sweeps = append(out.sweeps, w)
	}
	free := at + retuneSamples
	if len(out.sweeps) > 0 {
		free = min(free, out.sweeps[0].from)
	}
	if free > at && math.Abs(s.startPeriod/s.periodOf(key)-1) > 1e-9 {
		out.sweeps = slices.Insert(out.sweeps, 0, sweep{at, free, key, barred, false})
	}
	for _, v := range p.wobbles {
		if v.to > from {
			v.from, v.to = v.from+shift, v.to+shift
			if v.from < at && under != nil {
				v.from = under[0].from
			}
			out.wobbles = append(out.wobbles, v)
		}
	}
	for _, w := range p.swells {
		if w.to > from {
			out.swells = append(out.swells, swell{w.from + shift, w.to + shift})
		}
	}
	for _, a := range p.actions {
		if a.at >= from {
			a.at, a.since = a.at+shift, a.since+shift
			out.actions = append(out.actions, a)
		}
	}
	s.stringPart, s.nextAction, s.nextSweep, s.nextWobble, s.nextSwell = out, 0, 0, 0, 0
	s.startPeriod = s.resting
}

// retuneSamples is how long a string takes that has to come to another pitch at once: 1 ms.
const retuneSamples = 48
