package amp

import (
	"math"

	"lapwright/sound/filter"
)

// Spring is the reverberation of two springs side by side. A wave in a spring comes to the far end after
// Transit, goes back and forth, and gets there again every 2·Transit with what Return leaves of it; the higher it is, up
// to the transition at 4 kHz, the later it comes, so that each return is a longer chirp. That is what a chain of first-order
// allpass sections gives that work at a sixth of the rate (Välimäki, Parker and Abel, 2010, for the chain, its coefficient and the
// gain of the loop; their stretched allpass sections of a delay of six are the same thing). What lies above the transition, the second,
// much weaker chirp, is left out: the loudspeaker lets little of it through.
type Spring struct {
	down, up fir
	cut      filter.Biquad
	wires    [2]wire
	in, out  [slow]float64
	at       int
}

// slow is how many samples pass for one of the springs': 8 kHz.
const slow = 6

const (
	chirpSections    = 50   // one way: a hundred there and back
	chirpCoefficient = 0.75 // from memory
	// Return is what is left of the height of a wave when it is back, of which there are losses in the wire and at the ends: −1.9 dB,
	// so that 60 dB have died in 31 returns: 1.6 and 1.9 s at low frequencies. From memory of the same paper.
	Return = 0.8
)

// Transits are how long each of the springs takes one way, at low frequencies, in samples at 8 kHz: 26 and
// 30.5 ms, so that together 36 echoes come a second to begin with (from memory: 50 to 60 ms there and back).
var Transits = [2]int{208, 244}

// wire is one spring.
type wire struct {
	there, back leg
	home        float64 // what came back last
}

// leg is one way of a wave.
type leg struct {
	line     []float64
	at       int
	in, past [chirpSections]float64
	last     float64
}

// The sections take what the one before gave a sample ago, so that none waits for another: they are a delay of one sample
// each more, and at low frequencies one of (1−a)/(1+a) by themselves. The line has the rest.
func newLeg(transit int) leg {
	own := chirpSections + int(math.Round(chirpSections*(1-chirpCoefficient)/(1+chirpCoefficient)))
	return leg{line: make([]float64, transit-own)}
}

func (l *leg) next(x float64) float64 {
	y := l.line[l.at]
	l.line[l.at] = l.last
	if l.at++; l.at == len(l.line) {
		l.at = 0
	}
	for k := chirpSections - 1; k > 0; k-- {
		v := l.past[k-1]
		o := chirpCoefficient*(v-l.past[k]) + l.in[k]
		l.in[k], l.past[k] = v, o
	}
	o := chirpCoefficient*(x-l.past[0]) + l.in[0]
	l.in[0], l.past[0] = x, o
	l.last = l.past[chirpSections-1]
	return y
}

func (l *leg) clear() {
	clear(l.line)
	*l = leg{line: l.line}
}

// NewSpring returns springs at rest.
func NewSpring() *Spring {
	s := &Spring{cut: filter.HighPass(180, 0.7)}
	for k := range s.wires {
		s.wires[k].there, s.wires[k].back = newLeg(Transits[k]), newLeg(Transits[k])
	}
	return s
}

// Next takes a sample and gives what of the springs is heard.
func (s *Spring) Next(x float64) float64 {
	s.in[s.at] = s.cut.Next(x)
	y := s.out[s.at]
	if s.at++; s.at == slow {
		s.at = 0
		v, sum := s.down.fewer(&s.in), 0.0
		for k := range s.wires {
			w := &s.wires[k]
			end := w.there.next(v - Return*w.home)
			w.home = w.back.next(end)
			sum += end
		}
		s.up.more(sum, &s.out)
	}
	return y
}

func (s *Spring) clear() {
	s.down, s.up, s.in, s.out, s.at = fir{}, fir{}, [slow]float64{}, [slow]float64{}, 0
	s.cut.Clear()
	for k := range s.wires {
		w := &s.wires[k]
		w.there.clear()
		w.back.clear()
		w.home = 0
	}
}

// fir keeps what a linear-phase low-pass needs that takes the rate of 48 kHz to 8 kHz, or back.
type fir struct {
	past [2 * firLength]float64 // each sample twice, so that firLength of them always lie in a row
	at   int
}

// The low-pass lets what lies under 3.4 kHz through and holds what lies over 4.6 kHz 60 dB down: a sinc
// under a Kaiser window (J. F. Kaiser, 1974: β = 5.65, taps from the width of the transition).
const (
	firLength  = slow * firPhase
	firPhase   = 24
	firCorner  = 4000.0
	kaiserBeta = 5.65
)

var firTaps = func() (t [firLength]float64) {
	sum := 0.0
	for i := range t {
		u := float64(i) - float64(firLength-1)/2
		w := 2 * u / float64(firLength-1)
		x := 2 * math.Pi * firCorner / filter.Rate * u
		t[i] = filter.Bessel0(kaiserBeta*math.Sqrt(1-w*w)) * math.Sin(x) / x
		sum += t[i]
	}
	for i := range t {
		t[i] /= sum
	}
	return t
}()

// fewer gives the sample at 8 kHz that stands for six.
func (f *fir) fewer(in *[slow]float64) float64 {
	for _, x := range in {
		f.put(x, firLength)
	}
	sum := 0.0
	for i, x := range f.past[f.at : f.at+firLength] {
		sum += firTaps[i] * x
	}
	return sum
}

// more gives the six samples that stand for one at 8 kHz.
func (f *fir) more(x float64, out *[slow]float64) {
	f.put(x, firPhase)
	past := f.past[f.at : f.at+firPhase]
	for k := range out {
		sum := 0.0
		for i, x := range past {
			sum += firTaps[slow*i+slow-1-k] * x
		}
		out[k] = slow * sum
	}
}

// put takes a sample into a row of n.
func (f *fir) put(x float64, n int) {
	f.past[f.at], f.past[f.at+n] = x, x
	if f.at++; f.at == n {
		f.at = 0
	}
}
