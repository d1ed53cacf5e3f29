package arrange

import (
	"slices"
	"testing"

	"lapwright/rig/rigtest"
)

// TestPricesWithoutWords: what a way costs is reckoned again and again, to compare and to
// grade it, and put in words once. Reckoning makes a list and nothing for each moment,
// and comes to what the words tell.
func TestPricesWithoutWords(t *testing.T) {
	q, err := newRequest(newWatch(t.Context()), voicesOf(t, 8), rigtest.Builtin(t, "reso-open-g"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := q.newSearch(Setting{})
	if err != nil {
		t.Fatal(err)
	}
	way, _, err := s.find()
	if err != nil {
		t.Fatal(err)
	}
	f := s.finished(way)
	costs, err := f.costs()
	if err != nil {
		t.Fatal(err)
	}
	told, err := f.explain()
	if err != nil {
		t.Fatal(err)
	}
	words := 0
	for i := range told {
		words += len(told[i].Terms)
		if told[i].Cost != costs[i] {
			t.Errorf("moment %d costs %g and is told to cost %g", i, costs[i], told[i].Cost)
		}
	}
	touched := make([][]Term, len(way))
	for what, run := range map[string]func() error{
		"comparing": func() error { _, err := f.costs(); return err },
		"grading":   func() error { _, err := f.difficulty(touched, len(way)); return err },
	} {
		n := testing.AllocsPerRun(3, func() { err = run() })
		if err != nil || n > 4 {
			t.Errorf("%s %d moments makes %.0f things, %v", what, len(way), n, err)
		}
	}
	if n := testing.AllocsPerRun(3, func() { told, err = f.explain() }); err != nil || n < float64(words)/2 {
		t.Errorf("%d words made of %.0f things: the count sees nothing, %v", words, n, err)
	}
	if !slices.ContainsFunc(told, func(e Explained) bool { return len(e.Terms) > 1 }) {
		t.Error("no moment costs anything")
	}
}
