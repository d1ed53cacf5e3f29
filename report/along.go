package report

import (
	"fmt"
	"math"

	"lapwright/listen"
	"lapwright/listen/delay"
)

// Along is what a page sounded while a take was recorded, to be played along with.
type Along struct {
	Rounds []AlongRound `json:"rounds"`          // in the order in which they were sounded
	Delay  *float64     `json:"delay,omitempty"` // seconds from what is sounded to where it stands in the take; absent where it wasn't measured
}

// AlongRound is a stretch of the music that was sounded evenly: listen.Round.
type AlongRound struct {
	At    float64 `json:"at"`    // seconds of the take, below 0 where it began before
	From  float64 `json:"from"`  // seconds of the music as written,
	To    float64 `json:"to"`    // the same
	Speed float64 `json:"speed"` // 1 is as written
}

// The bounds on what is said of it.
const (
	maxRounds       = 2000
	maxAlongSeconds = 86400
	slowestAlong    = 0.1
	fastestAlong    = 4
)

// Check refuses what no page says.
func (a *Along) Check() error {
	if a == nil {
		return nil
	}
	if len(a.Rounds) == 0 || len(a.Rounds) > maxRounds {
		return fmt.Errorf("\"%d\" is not from 1 to %d rounds", len(a.Rounds), maxRounds)
	}
	for _, r := range a.Rounds {
		if !(math.Abs(r.At) <= maxAlongSeconds && r.From >= 0 && r.From < r.To && r.To <= maxAlongSeconds) {
			return fmt.Errorf("\"%g\" to \"%g\", at \"%g\", is no stretch of music", r.From, r.To, r.At)
		}
		if !(r.Speed >= slowestAlong && r.Speed <= fastestAlong) {
			return fmt.Errorf("the speed \"%g\" is not from %g to %d", r.Speed, slowestAlong, fastestAlong)
		}
	}
	if d := a.Delay; d != nil && !(*d >= -delay.MostSeconds && *d <= delay.MostSeconds) {
		return fmt.Errorf("a delay of \"%g\" seconds is over %g", *d, delay.MostSeconds)
	}
	return nil
}

// Click returns it as a review takes it; nil for nothing.
func (a *Along) Click() *listen.Click {
	if a == nil {
		return nil
	}
	c := &listen.Click{Delay: math.NaN()}
	if a.Delay != nil {
		c.Delay = *a.Delay
	}
	for _, r := range a.Rounds {
		c.Rounds = append(c.Rounds, listen.Round(r))
	}
	return c
}

// MeasuredDelay is how much later a device hears what it sounds.
type MeasuredDelay struct {
	Refused   string  `json:"refused,omitempty"` // why nothing is told; what follows is then 0
	Seconds   float64 `json:"seconds"`
	PlusMinus float64 `json:"plusMinus"` // seconds, standard deviation of single clicks
	Heard     int     `json:"heard"`     // clicks
	Sounded   int     `json:"sounded"`
}

// DelayOf returns what was measured to other programs.
func DelayOf(m delay.Measured) MeasuredDelay {
	return MeasuredDelay{m.Refused, decimals(m.Seconds, 5), decimals(m.Spread, 5), m.Heard, m.Sounded}
}
