// Package estimate guesses how well a melody plays in a key, an octave and with a
// capo, before anything is searched: every note on every string, the steel square,
// with the prices of room grip. It is what keys and positions are compared by.
//
// Entry points: New, Melody.
package estimate

import (
	"math"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// Melody returns the key number of the highest note that begins at each moment where
// one does.
func Melody(ms []tune.Moment) []int {
	var out []int
	for i := range ms {
		for _, n := range ms[i].Notes {
			if !n.Tied {
				out = append(out, n.Name.Key())
				break
			}
		}
	}
	return out
}

// Estimate guesses how well a melody plays with one capo position.
type Estimate struct {
	open  []int
	way   []int64 // what the steel's way from fret p to fret f costs, by f·(high+1) + p
	high  int
	low   int
	open0 bool                                  // open strings may be used
	lost  int64                                 // what a note that can't be had costs
	own   [rig.MaxStrings][]int64               // what a note costs on a string, by fret
	skip  [rig.MaxStrings][rig.MaxStrings]int64 // what it costs to go from one to another
}

// easyPace is the time between notes that the estimate reckons with, in seconds.
const easyPace = 1.0 / 3

// perMM is what a millimetre of travel costs, in hundredths of a point. The search asks
// 3.4 at that pace, but finds nearer ways than a square steel does; at its price outlines
// leave the fret of their chord for the nut (ours, by reading tabs of first grade).
const perMM = 2

// New takes the measure of a rig with the capo at a fret, for a player with some limits
// who leaves a region of the neck. thin is the last string that suits the melody.
func New(r *rig.Rig, capo int, lim grip.Limits, o grip.Region, thin int) *Estimate {
	prices := lim.Costs()
	e := &Estimate{high: min(lim.Fret, r.Frets-capo+r.Capo.At), low: max(1, o.Low), open0: !o.Closed, lost: int64(prices.TopLost)}
	if o.High > 0 {
		e.high = min(e.high, o.High)
	}
	scale := float64(r.Scale) * math.Exp2(-float64(capo-r.Capo.At)/12)
	leave := float64(grip.NewPace(easyPace, lim).Leave)
	var places []int64 // of each fret, mm·10
	for f := 0; f <= e.high; f++ {
		places = append(places, int64(10*scale*(1-math.Exp2(-float64(f)/12))))
	}
	for f := range places {
		find := int64(leave * math.Exp2(float64(f)/12))
		for p := range places {
			way := int64(0)
			switch {
			case p == f:
			case p == 0 || f == 0: // the steel is laid or lifted
				way = int64(prices.LiftPrice(int32(max(p, f))))
			default:
				if d := places[f] - places[p]; d != 0 {
					way = find + perMM*max(d, -d)/10
				}
			}
			e.way = append(e.way, way)
		}
	}
	for s := range r.Strings {
		e.open = append(e.open, r.OpenKey(s+1, 0)+capo-r.Capo.At)
		for f := 0; f <= e.high; f++ {
			own := int64(prices.ThickPrice(s+1, thin, len(r.Strings), f) + prices.HighPrice(f))
			if f == 0 {
				own += int64(prices.OpenPrice(r))
			}
			e.own[s] = append(e.own[s], own)
		}
		for p := range r.Strings {
			e.skip[s][p] = int64(prices.SkipPrice(s, p))
		}
	}
	return e
}

// Suits reports whether every open string is a note of the key moved by so many
// semitones, and one of them its tonic.
func (e *Estimate) Suits(k pitch.Key, semitones int) bool {
	tonic := pitch.Mod(k.Tonic.Semitone()+semitones, 12)
	found := false
	for _, open := range e.open {
		class := pitch.Mod(open-semitones, 12)
		inKey := false
		for l := pitch.C; l <= pitch.B; l++ {
			inKey = inKey || class == pitch.Class{Letter: l, Alter: int8(k.Alter(l))}.Semitone()
		}
		if !inKey {
			return false
		}
		found = found || pitch.Mod(open, 12) == tonic
	}
	return found
}

// Cost estimates a melody moved by so many semitones, in hundredths of a
// point: every note on every string with a square steel, a lost note as dear as in
// the full search, the same prices for finding a fret, high frets and skipped
// strings, a square steel's travel. seen is called for every note, and its error ends the work.
func (e *Estimate) Cost(seen func() error, melody []int, semitones int) (int64, error) {
	type place struct {
		str, fret int
		cost      int64 // of the cheapest way there
	}
	var a, b [rig.MaxStrings]place
	was, now := a[:0], b[:0] // where the note before, and this one, can be played
	var lost int64
	for _, m := range melody {
		if err := seen(); err != nil {
			return 0, err
		}
		now = now[:0]
		for s, open := range e.open {
			f := m + semitones - open
			if f < 0 || f > e.high || f > 0 && f < e.low || f == 0 && !e.open0 {
				continue
			}
			way, skip := e.way[f*(e.high+1):(f+1)*(e.high+1)], &e.skip[s]
			cost := int64(math.MaxInt64)
			for i := range was {
				p := &was[i]
				cost = min(cost, p.cost+skip[p.str]+way[p.fret])
			}
			if len(was) == 0 {
				cost = 0
			}
			now = append(now, place{s, f, cost + e.own[s][f]})
		}
		if len(now) == 0 {
			lost += e.lost
			continue
		}
		was, now = now, was
	}
	if len(was) == 0 {
		return lost, nil
	}
	best := was[0].cost
	for _, p := range was[1:] {
		best = min(best, p.cost)
	}
	return lost + best, nil
}
