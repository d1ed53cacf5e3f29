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
	at    []int64 // place of each fret, mm·10
	aim   []int64 // what it costs to find it
	lift  []int64 // what it costs to lift the steel there, or to lay it
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
	for f := 0; f <= e.high; f++ {
		e.at = append(e.at, int64(10*scale*(1-math.Exp2(-float64(f)/12))))
		e.aim = append(e.aim, int64(leave*math.Exp2(float64(f)/12)))
		e.lift = append(e.lift, int64(prices.LiftPrice(int32(f))))
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
	var cur, next [rig.MaxStrings]int64
	var frets [rig.MaxStrings]int
	for s := range e.open {
		cur[s], frets[s] = 0, 0
	}
	var lost int64
	started := false
	for _, m := range melody {
		if err := seen(); err != nil {
			return 0, err
		}
		any := false
		var f [rig.MaxStrings]int
		for s, open := range e.open {
			f[s] = m + semitones - open
			if f[s] < 0 || f[s] > e.high || f[s] > 0 && f[s] < e.low || f[s] == 0 && !e.open0 {
				f[s] = -1
				continue
			}
			any = true
		}
		if !any {
			lost += e.lost
			continue
		}
		for s := range e.open {
			next[s] = math.MaxInt64
			if f[s] < 0 {
				continue
			}
			if !started {
				next[s] = 0
			}
			for p := range e.open {
				if !started || cur[p] == math.MaxInt64 {
					continue
				}
				c := cur[p] + e.skip[s][p]
				switch {
				case frets[p] > 0 && f[s] > 0:
					if d := e.at[f[s]] - e.at[frets[p]]; d != 0 {
						c += e.aim[f[s]] + perMM*max(d, -d)/10
					}
				case frets[p] != f[s]:
					c += e.lift[max(frets[p], f[s])]
				}
				next[s] = min(next[s], c)
			}
			next[s] += e.own[s][f[s]]
		}
		cur, frets, started = next, f, true
	}
	best := int64(math.MaxInt64)
	for s := range e.open {
		best = min(best, cur[s])
	}
	if !started {
		best = 0
	}
	return lost + best, nil
}
