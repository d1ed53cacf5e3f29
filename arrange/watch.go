package arrange

import (
	"context"

	"lapwright/fault"
	"lapwright/tune"
)

// watch counts the moments that a pass works on and looks, every so often,
// whether the person who asked still waits. Every loop over a piece's moments
// calls moment once a turn, so a piece of any length is given up within
// watchStride of them.
type watch struct {
	ctx  context.Context
	done int64 // moments worked on, over all passes
	// perform works out how a tune sounds: the one place where repeats are unfolded.
	perform func(*tune.Tune) (*tune.Performance, fault.List)
}

func newWatch(ctx context.Context) *watch { return &watch{ctx: ctx, perform: tune.Checked} }

// watchStride is after how many moments the context is looked at again: a few
// milliseconds' work.
const watchStride = 128

// moment counts one moment worked on; it returns the context's error once that
// is seen to have ended.
func (w *watch) moment() error {
	w.done++
	if w.done%watchStride != 0 {
		return nil
	}
	return w.ctx.Err()
}
