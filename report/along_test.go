package report

import (
	"math"
	"testing"

	"lapwright/listen"
)

// TestAlong: what a page may say it sounded, as docs/formats/take.md has it: up to 2000
// stretches of music, each forward; begun before the take at the earliest by a day, as
// fast as ten times slower to four times faster, heard half a second off at most.
func TestAlong(t *testing.T) {
	delay := func(s float64) *float64 { return &s }
	even := AlongRound{At: 1, From: 0, To: 8, Speed: 1}
	many := func(n int) (out []AlongRound) {
		for range n {
			out = append(out, even)
		}
		return out
	}
	with := func(change func(*AlongRound)) *Along {
		r := even
		change(&r)
		return &Along{Rounds: []AlongRound{r}}
	}
	nan := math.NaN()
	for _, c := range []struct {
		what  string
		along *Along
		ok    bool
	}{
		{"nothing was sounded", nil, true},
		{"it sounded nothing", &Along{}, false},
		{"once through", &Along{Rounds: many(1)}, true},
		{"as many rounds as there may be", &Along{Rounds: many(2000)}, true},
		{"one more", &Along{Rounds: many(2001)}, false},
		{"begun before the take", with(func(r *AlongRound) { r.At = -30 }), true},
		{"a day before it", with(func(r *AlongRound) { r.At = -86400 }), true},
		{"longer before it", with(func(r *AlongRound) { r.At = -86401 }), false},
		{"at no time", with(func(r *AlongRound) { r.At = nan }), false},
		{"from before the music", with(func(r *AlongRound) { r.From = -0.1 }), false},
		{"from the second bar", with(func(r *AlongRound) { r.From = 4 }), true},
		{"of no length", with(func(r *AlongRound) { r.From = 8 }), false},
		{"backwards", with(func(r *AlongRound) { r.From = 9 }), false},
		{"a day of music", with(func(r *AlongRound) { r.To = 86400 }), true},
		{"more than that", with(func(r *AlongRound) { r.To = 86401 }), false},
		{"as slow as can be", with(func(r *AlongRound) { r.Speed = 0.1 }), true},
		{"slower", with(func(r *AlongRound) { r.Speed = 0.09 }), false},
		{"as fast as can be", with(func(r *AlongRound) { r.Speed = 4 }), true},
		{"faster", with(func(r *AlongRound) { r.Speed = 4.1 }), false},
		{"a speed that is no number", with(func(r *AlongRound) { r.Speed = nan }), false},
		{"a delay as long as is looked for", &Along{Rounds: many(1), Delay: delay(0.5)}, true},
		{"a longer one", &Along{Rounds: many(1), Delay: delay(0.51)}, false},
		{"heard before it sounds, as a page with a wrong clock may say", &Along{Rounds: many(1), Delay: delay(-0.5)}, true},
		{"longer before", &Along{Rounds: many(1), Delay: delay(-0.51)}, false},
		{"a delay that is no number", &Along{Rounds: many(1), Delay: &nan}, false},
		{"the last of two backwards", &Along{Rounds: []AlongRound{even, {From: 2, To: 1, Speed: 1}}}, false},
	} {
		if err := c.along.Check(); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.what, err)
		}
	}
}

// TestAlongClick: a review takes what was sounded as it is; a delay that nobody
// measured is unknown and not nought, which would blame the player for the device.
func TestAlongClick(t *testing.T) {
	if c := (*Along)(nil).Click(); c != nil {
		t.Errorf("nothing sounded is a click: %+v", c)
	}
	a := &Along{Rounds: []AlongRound{{At: 2.5, From: 1, To: 9, Speed: 0.8}, {At: 12.5, From: 1, To: 9, Speed: 0.9}}}
	c := a.Click()
	if !math.IsNaN(c.Delay) || len(c.Rounds) != 2 || c.Rounds[1] != (listen.Round{At: 12.5, From: 1, To: 9, Speed: 0.9}) {
		t.Errorf("without a delay: %+v", c)
	}
	d := 0.12
	a.Delay = &d
	if c := a.Click(); c.Delay != 0.12 {
		t.Errorf("a delay of 0.12 s is told as %g", c.Delay)
	}
}
