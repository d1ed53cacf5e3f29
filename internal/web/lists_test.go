package web

import (
	"context"
	"fmt"
	"testing"

	"lapwright/internal/studio"
)

// TestLongListsAreReadOnce: what is said of each item of a list as long as a studio
// may get is kept until the list is asked for again.
func TestLongListsAreReadOnce(t *testing.T) {
	l := newLists(newStudio(t))
	it, err := l.studio.Add(t.Context(), studio.Tune, studio.Content{Title: "One Bar", Body: "X:1\nT:One Bar\nM:4/4\nL:1/4\nK:G\nGABd|]\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	list := func() string {
		t.Helper()
		rows, err := l.kind(t.Context(), studio.Tune)
		if err != nil || len(rows) == 0 {
			t.Fatal(rows, err)
		}
		return rows[len(rows)-1].About
	}
	if got := list(); got != "G major, 1 bar" {
		t.Fatalf("%q is said of it", got)
	}
	for i := range 90_000 {
		l.abouts.get(t.Context(), fmt.Sprint("another ", i), func(context.Context) (string, int64, error) { return "G major, 32 bars", aboutBytes, nil })
	}
	read := false
	l.abouts.get(t.Context(), fmt.Sprintf("%s %d", it.ID, it.Revision), func(context.Context) (string, int64, error) { read = true; return "", aboutBytes, nil })
	if read {
		t.Error("with 90,000 other items it is read anew")
	}
}
