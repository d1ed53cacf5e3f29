package listen

import (
	"fmt"
	"math"
	"slices"

	"lapwright/sound/filter"
)

// The sample rates that are heard, in samples a second.
const (
	LowestRate  = 8000
	HighestRate = 384000
)

// MostSeconds is the longest take that is heard: half an hour.
const MostSeconds = 1800

// slowRate is the least rate that listening works at: partials up to 4 kHz say
// all there is to know about the pitch of these instruments.
const slowRate = 10500

// Ear takes in a recording, one channel, block by block.
type Ear struct {
	rate  float64
	every int       // of so many samples one is kept
	taps  []float64 // the low-pass before that
	held  []float64 // the last len(taps) samples, and those not yet used
	skip  int       // samples of held before the next centre
	take  *Take
	flat  float64 // the sample before, for runs at full scale
	run   int
}

// Take is a recording as it is listened to.
type Take struct {
	rate    float64 // of x
	x       []float64
	n       int // samples that came in
	inRate  float64
	peak    float64
	clipped int // samples in flat runs at the peak
	runs    []flatRun
}

// flatRun is a run of samples of one value.
type flatRun struct {
	level float64
	n     int
}

// NewEar makes an ear for a recording of so many samples a second.
func NewEar(rate float64) (*Ear, error) {
	if !(rate >= LowestRate && rate <= HighestRate) {
		return nil, fmt.Errorf("a sample rate of %g is not from %d to %d", rate, LowestRate, HighestRate)
	}
	e := &Ear{rate: rate, every: max(1, int(rate/slowRate))}
	e.taps = lowPassTaps(e.every)
	// The first sample lies under the middle tap.
	e.held = make([]float64, len(e.taps)/2)
	e.take = &Take{rate: rate / float64(e.every), inRate: rate}
	return e, nil
}

// lowPassTaps returns a filter that stops what would fold: 70 dB down from half the new rate on, flat to 0.4 of it.
func lowPassTaps(every int) []float64 {
	if every == 1 {
		return []float64{1}
	}
	return filter.Sinc(22*every, 0.9/float64(every), 70)
}

// Expect makes room at once for so many samples, where it is known how many come: a long take
// that grows is in memory twice for a while.
func (e *Ear) Expect(samples int) {
	e.take.x = slices.Grow(e.take.x, min(samples, int(MostSeconds*e.rate))/e.every+len(e.taps))
}

// Hear takes in the next block. Samples that are no numbers count as silence;
// what comes after MostSeconds is not heard.
func (e *Ear) Hear(block []float32) {
	room := max(0, int(MostSeconds*e.rate)-e.take.n)
	for piece := range slices.Chunk(block[:min(len(block), room)], mostHeld) {
		for _, s := range piece {
			v := float64(s)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				v = 0
			}
			e.watch(v)
			e.held = append(e.held, v)
		}
		e.take.n += len(piece)
		e.use()
	}
}

// mostHeld is how many samples are held before those used are let go.
const mostHeld = 1 << 14

// watch keeps account of runs of one value, which is what clipping leaves.
func (e *Ear) watch(v float64) {
	e.take.peak = max(e.take.peak, math.Abs(v))
	if v == e.flat && v != 0 {
		e.run++
		return
	}
	e.endRun()
	e.flat, e.run = v, 1
}

func (e *Ear) endRun() {
	if e.run >= 3 {
		e.take.runs = append(e.take.runs, flatRun{math.Abs(e.flat), e.run})
	}
}

// use filters what is held as far as it reaches.
func (e *Ear) use() {
	at := e.skip
	for ; at+len(e.taps) <= len(e.held); at += e.every {
		sum := 0.0
		x := e.held[at : at+len(e.taps)]
		for i, c := range e.taps {
			sum += c * x[i]
		}
		e.take.x = append(e.take.x, sum)
	}
	if drop := min(at, len(e.held)); drop > mostHeld {
		e.held = append(e.held[:0], e.held[drop:]...)
		at -= drop
	}
	e.skip = at
}

// Take ends the recording and returns it. The ear must not be used afterwards.
func (e *Ear) Take() *Take {
	e.endRun()
	e.held = append(e.held, make([]float64, len(e.taps)/2)...)
	e.use()
	for _, r := range e.take.runs {
		if r.level >= 0.995*e.take.peak {
			e.take.clipped += r.n
		}
	}
	e.take.runs = nil
	return e.take
}

// NewTake hears a whole recording at once.
func NewTake(samples []float32, rate float64) (*Take, error) {
	e, err := NewEar(rate)
	if err != nil {
		return nil, err
	}
	e.Expect(len(samples))
	e.Hear(samples)
	return e.Take(), nil
}

// Seconds returns how long the take is.
func (t *Take) Seconds() float64 { return float64(t.n) / t.inRate }

// sample returns the index into x of a time.
func (t *Take) sample(seconds float64) int { return int(math.Round(seconds * t.rate)) }
