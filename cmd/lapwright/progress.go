package main

import (
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// meter shows on a terminal how far work has come; elsewhere it shows nothing.
type meter struct {
	room *mpb.Progress
	bar  *mpb.Bar
	what string
}

// progress begins a meter. Its tell fits what rooms call Progress; end takes
// the line away.
func (d *desk) progress() *meter {
	m := &meter{}
	if d.live {
		m.room = mpb.New(mpb.WithOutput(d.stderr), mpb.WithWidth(64))
	}
	return m
}

func (m *meter) tell(done, total int, what string) {
	if m.room == nil {
		return
	}
	m.what = what
	if m.bar == nil {
		m.bar = m.room.AddBar(int64(total), mpb.BarRemoveOnComplete(),
			mpb.AppendDecorators(decor.Any(func(decor.Statistics) string { return m.what })))
	}
	m.bar.SetCurrent(int64(done))
}

func (m *meter) end() {
	if m.bar != nil {
		m.bar.Abort(true)
	}
	if m.room != nil {
		m.room.Wait()
	}
}
