package tune_test

import (
	"testing"

	"lapwright/tune"
)

// A place finds its note, or nothing when any part of it is out of bounds.
func TestPlacesOfNotes(t *testing.T) {
	u := whole(t)
	e := &u.Bars[0].Lines[0][0]
	e.Notes = append(e.Notes, e.Notes[0], e.Notes[0])
	e.Graces = []tune.Grace{{Notes: e.Notes[:2]}}
	for _, c := range []struct {
		r    tune.Ref
		want *tune.Note
		top  int // notes above it
	}{
		{tune.Ref{Grace: -1}, &e.Notes[0], 2},
		{tune.Ref{Grace: -1, Note: 2}, &e.Notes[2], 0},
		{tune.Ref{Grace: 0}, &e.Graces[0].Notes[0], 1},
		{tune.Ref{Grace: 0, Note: 1}, &e.Graces[0].Notes[1], 0},
		{tune.Ref{Grace: -1, Note: 3}, nil, -1}, {tune.Ref{Grace: -1, Note: -1}, nil, -1}, {tune.Ref{Grace: 0, Note: 2}, nil, -1}, {tune.Ref{Grace: 1}, nil, -1},
		{tune.Ref{Grace: -1, Bar: 1}, nil, -1}, {tune.Ref{Grace: -1, Bar: -1}, nil, -1}, {tune.Ref{Grace: -1, Voice: 1}, nil, -1}, {tune.Ref{Grace: -1, Voice: -1}, nil, -1},
		{tune.Ref{Grace: -1, Event: 1}, nil, -1}, {tune.Ref{Grace: -1, Event: -1}, nil, -1},
	} {
		if got := u.Note(c.r); got != c.want {
			t.Errorf("%+v: %p, want %p", c.r, got, c.want)
		}
		if got := u.FromTop(c.r); got != c.top {
			t.Errorf("%+v: %d notes above, want %d", c.r, got, c.top)
		}
	}
}

// The event before is the one to the left, over the barline too.
func TestEventBefore(t *testing.T) {
	u := whole(t)
	e := u.Bars[0].Lines[0][0]
	u.Bars[0].Lines[0] = []tune.Event{e, e, e}
	u.Bars = append(u.Bars, tune.Bar{Lines: [][]tune.Event{{e}}})
	line := u.Bars[0].Lines[0]
	for _, c := range []struct {
		bar, event int
		want       *tune.Event
	}{{0, 2, &line[1]}, {0, 1, &line[0]}, {0, 0, nil}, {1, 0, &line[2]}} {
		if got := u.EventBefore(c.bar, 0, c.event); got != c.want {
			t.Errorf("bar %d, event %d: %p, want %p", c.bar, c.event, got, c.want)
		}
	}
	u.Bars[0].Lines[0] = nil
	if got := u.EventBefore(1, 0, 0); got != nil {
		t.Errorf("after an empty bar: %p", got)
	}
	u.Bars[0].Lines = nil
	if got := u.EventBefore(1, 0, 0); got != nil {
		t.Errorf("after a bar without the voice: %p", got)
	}
}
