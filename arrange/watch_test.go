package arrange

import (
	"context"
	"errors"
	"slices"
	"testing"

	"lapwright/rig/rigtest"
)

// impatient is a context that ends the left-th time that somebody looks.
type impatient struct {
	context.Context
	left  int // looks until it ends; negative never ends
	looks int
	late  int // looks after the end: each stands for up to watchStride moments worked on in vain
}

func (c *impatient) Err() error {
	c.looks++
	if c.left < 0 || c.looks < c.left {
		return nil
	}
	if c.looks > c.left {
		c.late++
	}
	return context.Canceled
}

// TestGivenUpSoon ends the context at every look that each verb takes at it: the
// context's error comes back, and no more than a few hundred moments are worked
// on afterwards.
func TestGivenUpSoon(t *testing.T) {
	tn := melodyOf(t, 64)
	from := must(t, tn, "reso-open-g", Options{})
	o := Options{Harmony: Thirds, Pins: []Pin{{FromBarNumber: 2, High: 12}}}
	for _, c := range []struct {
		name   string
		passes int // loops over all moments that the verb takes at least
		do     func(ctx context.Context) error
	}{
		{"Arrange", 12, func(ctx context.Context) error {
			_, err := Arrange(ctx, tn, rigtest.Builtin(t, "reso-open-g"), o)
			return err
		}},
		{"Choices", 12, func(ctx context.Context) error {
			_, err := Choices(ctx, tn, rigtest.Builtin(t, "reso-open-g"), Options{Octave: Octaves(0)}, 2, 0)
			return err
		}},
		{"Alternatives", 20, func(ctx context.Context) error {
			_, err := Alternatives(ctx, tn, rigtest.Builtin(t, "reso-open-g"), Options{Octave: Octaves(0)}, 4)
			return err
		}},
		{"Best", 12, func(ctx context.Context) error {
			_, err := Best(ctx, tn, rigtest.Builtin(t, "reso-open-g"), Options{Octave: Octaves(0)}, 2)
			return err
		}},
	} {
		patient := &impatient{Context: t.Context(), left: -1}
		if err := c.do(patient); err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if least := c.passes * len(from.Tab.Strokes) / watchStride; patient.looks < least {
			t.Errorf("%s looks at its context %d times, fewer than %d: some loop never does", c.name, patient.looks, least)
		}
		step := max(1, patient.looks/20)
		for left := 1; left <= patient.looks; left += step {
			ctx := &impatient{Context: t.Context(), left: left}
			err := c.do(ctx)
			if !errors.Is(err, context.Canceled) {
				t.Fatalf("%s, ended at look %d of %d: %v", c.name, left, patient.looks, err)
			}
			if worked := ctx.late * watchStride; worked > 3*watchStride {
				t.Errorf("%s, ended at look %d of %d: up to %d moments were worked on afterwards", c.name, left, patient.looks, worked)
			}
		}
		t.Logf("%s: %d looks over %d moments", c.name, patient.looks, len(from.Tab.Strokes))
	}
}

// TestEveryPassCounts runs the passes of an arrangement one by one: each looks at
// its context for every moment, so that none goes on when nobody waits. Passes
// that a shape puts aside are tried without one.
func TestEveryPassCounts(t *testing.T) {
	w := newWatch(t.Context())
	counted := map[string]int64{}
	moments := int64(0)
	for _, o := range []Options{
		{Harmony: Thirds, Pins: []Pin{{FromBarNumber: 2, High: 12}}},
		{Shape: &Shape{Strokes: make([][]Played, 64)}},
	} {
		q, err := newRequest(w, melodyOf(t, 8), rigtest.Builtin(t, "reso-open-g"), o)
		if err != nil {
			t.Fatal(err)
		}
		s := &search{scene: scene{w: w}, o: q.o, perf: q.perf, moments: q.moments}
		s.n = newNeck(q.rig, &s.o)
		for _, p := range slices.Concat(preparing, finding) {
			before := w.done
			if err := p.run(s); err != nil {
				t.Fatalf("the pass that %s: %v", p.does, err)
			}
			counted[p.does] = max(counted[p.does], w.done-before)
		}
		moments = int64(len(s.p.moments))
		if len(s.way) != len(s.p.moments) || moments > 64 {
			t.Errorf("the passes lead to a way of %d of %d moments", len(s.way), moments)
		}
	}
	if len(counted) < 7 {
		t.Errorf("%d passes ran", len(counted))
	}
	for does, n := range counted {
		if n < moments {
			t.Errorf("the pass that %s counts %d of %d moments", does, n, moments)
		}
	}
}
