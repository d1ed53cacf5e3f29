package workbench

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/arrange/frame"
	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/report"
	"lapwright/tune"
)

// The bounds on a tune in the workbench, which many people share: notes as
// written, and how long it plays with its repeats. It is far more than a lesson
// holds, and seconds of work; the command line has no such bound.
const (
	MaxNotes   = 10_000
	maxMinutes = 20
	maxText    = 100 << 10 // bytes, ten a note; so that what is far too long is not even read
)

// ReadTune reads a tune as it is kept, with what is doubtful in it.
func ReadTune(body string) (*tune.Tune, fault.List, error) {
	pieces, warnings, err := notation.Read([]byte(body), "tune.abc")
	if err != nil {
		return nil, warnings, err
	}
	return pieces[0].Tune, warnings, nil
}

// tuneOf returns the tune of an item at the tempo and with the phrases around it that are
// kept with it, if it is within the workbench's bounds, and by how much an intro makes
// its bars' numbers higher.
func tuneOf(it *studio.Item, x report.TuneSettings) (t *tune.Tune, before int, err error) {
	if len(it.Body) > maxText {
		return nil, 0, &fault.Fault{Msg: fmt.Sprintf("this tune's text is %d KB long, and the workbench takes up to %d: part it into several, or use lapwright on the command line", len(it.Body)>>10, maxText>>10)}
	}
	if t, _, err = ReadTune(it.Body); err != nil {
		return nil, 0, err
	}
	if x.Tempo != 0 && len(t.Bars) > 0 {
		t = atTempo(t, x.Tempo)
	}
	if names := (frame.Names{x.Intro, x.Turnaround, x.Ending}); !names.None() {
		// All instruments play the same bars: what fits is chosen by the tune alone.
		set, err := frame.Choose(context.Background(), t, nil, arrange.Options{}, names)
		if err != nil {
			return nil, 0, err
		}
		framed, err := frame.Put(t, set)
		if err != nil {
			return nil, 0, err
		}
		t, before = framed.Tune, framed.Shift
	}
	return t, before, within(t)
}

// Phrases lists by kind the names of the phrases that fit a tune as it is kept, none for a
// text that can't be read.
func Phrases(body string) (out [3][]string) {
	t, _, err := ReadTune(body)
	if err != nil || len(t.Bars) == 0 {
		return out
	}
	for _, k := range frame.Kinds() {
		for _, p := range frame.Fitting(k, t) {
			out[k] = append(out[k], p.Name)
		}
	}
	return out
}

// atTempo returns a tune at so many beats a minute throughout.
func atTempo(t *tune.Tune, perMinute int) *tune.Tune {
	t = t.Clone()
	for i := range t.Bars {
		t.Bars[i].Tempos = nil
	}
	first := &t.Bars[0]
	first.Tempos = []tune.Tempo{{Beat: first.Meter.Beat(), PerMinute: int64(perMinute) * 1000}}
	return t
}

// within refuses a tune that is out of the workbench's bounds.
func within(t *tune.Tune) error {
	if notes := notesOf(t); notes > MaxNotes {
		return &fault.Fault{Msg: fmt.Sprintf("this tune has %d notes, and the workbench takes tunes of up to %d: part it into several, or use lapwright on the command line", notes, MaxNotes)}
	}
	if minutes := minutesOf(t); minutes > maxMinutes {
		return &fault.Fault{Msg: fmt.Sprintf("this tune plays for %.0f minutes, and the workbench takes tunes of up to %d: leave out repeats, or use lapwright on the command line", minutes, maxMinutes)}
	}
	return nil
}

// notesOf counts a tune's notes as written.
func notesOf(t *tune.Tune) int {
	notes := 0
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				notes += len(line[j].Notes)
			}
		}
	}
	return notes
}

// minutesOf returns how long a tune plays with its repeats.
func minutesOf(t *tune.Tune) float64 {
	clock := tune.NewClock(t)
	return clock.Seconds(clock.Len()) / 60
}
