package page

import "lapwright/listen"

// Recording is what was recorded of one channel, so many samples at Rate a second. It is
// given piece by piece, so that a long one need not be in the program's memory whole; none
// is the zero Recording.
type Recording struct {
	Samples int
	Rate    float64
	// Block gives the samples from one up to another. They hold until the next call.
	Block func(from, to int) []float32
	// Rest, where there is one, is called in a review whenever much is no longer needed: the take, then what
	// each sheet was drawn from.
	Rest func()
}

func (r *Recording) rest() {
	if r.Rest != nil {
		r.Rest()
	}
}

// Whole gives a recording that is there.
func Whole(samples []float32, rate float64) Recording {
	return Recording{Samples: len(samples), Rate: rate, Block: func(from, to int) []float32 { return samples[from:to] }}
}

// readBlock is how many samples are read of a recording at a time.
const readBlock = 1 << 14

// read hands a recording on, block by block.
func (r *Recording) read(hear func(block []float32)) {
	for at := 0; at < r.Samples; at += readBlock {
		hear(r.Block(at, min(at+readBlock, r.Samples)))
	}
}

// take hears a recording.
func (r *Recording) take() (*listen.Take, error) {
	e, err := listen.NewEar(r.Rate)
	if err != nil {
		return nil, err
	}
	e.Expect(r.Samples)
	r.read(e.Hear)
	return e.Take(), nil
}

// all returns the samples of a short recording.
func (r *Recording) all() []float32 {
	var out []float32
	r.read(func(block []float32) { out = append(out, block...) })
	return out
}
