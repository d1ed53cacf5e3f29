package sound

import (
	"math"

	"lapwright/sound/loudness"
	"lapwright/tab"
	"lapwright/tune"
)

// Stream sounds a tab piece by piece, in memory that grows by some kilobytes a second of the piece and no
// more. Its samples are those of RenderStems, whatever the sizes that are asked for.
type Stream struct {
	playing *playing
	master  *mastering
	gain    float64
	piece   Block
	given   int // samples handed out
	begun   bool
}

// NewStream begins to sound a tab. When Options.Gain is nil the piece is sounded once
// through to find how far it is to be turned up (Gain), which takes half of the work. Errors are those of
// RenderStems.
func NewStream(t *tab.Tab, o Options) (*Stream, error) {
	share := 0.0
	if o.Gain == nil {
		share = 0.5
		first := o
		first.Progress = portion(o.Progress, 0, share)
		gain, err := Gain(t, first)
		if err != nil {
			return nil, err
		}
		o.Gain = &gain
	}
	o.Progress = portion(o.Progress, share, 1)
	p, err := newPlaying(t, o)
	if err != nil {
		return nil, err
	}
	return &Stream{playing: p, master: newMastering(*o.Gain, p.block()), gain: *o.Gain, piece: p.block()}, nil
}

// portion returns what is told of a part of the work, from lo to hi of the whole.
func portion(progress func(float64) bool, lo, hi float64) func(float64) bool {
	if progress == nil {
		return nil
	}
	return func(done float64) bool { return progress(lo + (hi-lo)*done) }
}

// Gain returns by how many decibels a tab's lead is turned up to come to Options.Loudness, so that
// it can be sounded later with Options.Gain. It sounds the piece once through.
func Gain(t *tab.Tab, o Options) (float64, error) {
	o.Band = nil // which is as loud as it is
	p, err := newPlaying(t, o)
	if err != nil {
		return 0, err
	}
	return p.gain()
}

// gain sounds all of it, and returns by how many decibels it is turned up.
func (p *playing) gain() (float64, error) {
	var l leveller
	var piece Block
	for p.at < p.length {
		if err := p.next(&piece, min(blockSize, p.length-p.at)); err != nil {
			return 0, err
		}
		l.add(&piece)
	}
	return l.gain(p.o.Loudness), nil
}

// Len returns the number of samples of the whole recording.
func (s *Stream) Len() int { return s.playing.length }

// Gain returns by how many decibels the lead is turned up.
func (s *Stream) Gain() float64 { return s.gain }

// Next gives the next samples, so many or, at the end, fewer; nil when the piece is over. The
// block holds until the next call. The only error is ErrStopped.
func (s *Stream) Next(samples int) (*Block, error) {
	if !s.begun { // the limiter looks ahead
		s.begun = true
		if err := s.playing.next(&s.piece, loudness.Delay); err != nil {
			return nil, err
		}
		s.master.add(&s.piece)
	}
	samples = min(samples, s.playing.length-s.given)
	if samples <= 0 {
		return nil, nil
	}
	if err := s.playing.next(&s.piece, samples); err != nil {
		return nil, err
	}
	s.given += samples
	return s.master.add(&s.piece), nil
}

// playing is a tab being sounded, not yet brought to its level.
type playing struct {
	o       Options // settled
	sc      *score
	m       *machine
	at      int // samples made
	length  int // of the whole recording; silence follows
	told    int
	scratch [7][]float64
	band    Players // nil for none
}

func newPlaying(t *tab.Tab, o Options) (*playing, error) {
	o, sc, err := o.written(t)
	if err != nil {
		return nil, err
	}
	p := &playing{o: o, sc: sc, m: assemble(t.Rig, sc, o), length: sc.length()}
	perf := t.Performance()
	return p, p.invite(t, perf, 0, 0)
}

// invite has the band, if there is one, begin with a performance as Players.Play takes it.
func (p *playing) invite(t *tab.Tab, perf *tune.Performance, from, now int) error {
	if p.o.Band == nil {
		return nil
	}
	var err error
	if p.band == nil {
		if p.band, err = p.o.Band.Begin(t, p.o); err != nil {
			return err
		}
	}
	p.band.Play(perf, p.sc.sampleOf(perf.Clock, p.o.Speed), from, now)
	return nil
}

// block returns an empty block with the parts that are sounded.
func (p *playing) block() Block {
	if p.o.Band == nil {
		return Block{}
	}
	return Block{Backing: [2][]float32{{}, {}}}
}

// sampleOf returns the function from a place in sounding order to the sample at which it is heard.
func (sc *score) sampleOf(clock *tune.Clock, speed float64) func(tune.Ticks) int {
	return func(at tune.Ticks) int { return sampleAt(sc.countIn + clock.Seconds(at)/speed) }
}

// next makes the next n samples.
func (p *playing) next(b *Block, n int) error {
	b.resize(n)
	made := max(0, min(n, p.length-p.at))
	var w [7][]float64
	for k := range w {
		if cap(p.scratch[k]) < made {
			p.scratch[k] = make([]float64, made)
		}
		w[k] = p.scratch[k][:made]
	}
	pull, left, right, clicks, touch := w[0], w[1], w[2], w[3], w[4]
	p.m.touch = touch
	p.m.next(pull, left, right, clicks, p.at)
	for i := range made {
		f := p.fade(p.at + i)
		b.Left[i], b.Right[i] = float32(f*left[i]), float32(f*right[i])
		b.Click[i], b.Contact[i] = float32(clicks[i]), float32(f*touch[i])
	}
	if p.band != nil {
		p.accompany([2][]float32{b.Backing[0], b.Backing[1]}, w[5], w[6])
	}
	rest := b.slice(made, n)
	for _, x := range rest.parts() {
		clear(*x)
	}
	p.at += n
	if p.o.Progress != nil && p.at-p.told >= Rate {
		p.told = p.at
		if !p.o.Progress(min(1, float64(p.at)/float64(p.length))) {
			return ErrStopped
		}
	}
	return nil
}

// fade lets the last of the ringing die smoothly.
func (p *playing) fade(at int) float64 {
	n := min(p.length, sampleAt(fade))
	if at -= p.length - n; at < 0 {
		return 1
	}
	return 0.5 + 0.5*math.Cos(math.Pi*float64(at+1)/float64(n))
}

// RenderBand sounds what Options.Band plays, without the instrument, for as long as RenderStems sounds it: for who mixes
// by themselves. Errors are those of RenderStems.
func RenderBand(t *tab.Tab, o Options) (*Audio, error) {
	o, sc, err := o.written(t)
	if err != nil {
		return nil, err
	}
	p := &playing{o: o, sc: sc, length: sc.length()}
	if err := p.invite(t, t.Performance(), 0, 0); err != nil {
		return nil, err
	}
	out := &Audio{Channels: [][]float32{make([]float32, p.length), make([]float32, p.length)}}
	for p.at < p.length {
		n := min(blockSize, p.length-p.at)
		p.accompany([2][]float32{out.Channels[0][p.at : p.at+n], out.Channels[1][p.at : p.at+n]}, make([]float64, n), make([]float64, n))
		p.at += n
		if o.Progress != nil && p.at/blockSize%64 == 0 && !o.Progress(float64(p.at)/float64(p.length)) {
			return nil, ErrStopped
		}
	}
	return out, nil
}

// accompany takes the band's next samples, faded where the piece is.
func (p *playing) accompany(to [2][]float32, left, right []float64) {
	clear(left)
	clear(right)
	p.band.Add(left, right)
	level := amplitude(p.o.Loudness - DefaultLoudness)
	for i := range left {
		f := level * p.fade(p.at+i)
		to[0][i], to[1][i] = float32(f*left[i]), float32(f*right[i])
	}
}
