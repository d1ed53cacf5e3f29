package say

import (
	"fmt"
	"strconv"

	"lapwright/pitch"
	"lapwright/tune"
)

func meterWords(m tune.Meter) string {
	if m.Beats == 0 {
		return "free time"
	}
	return fmt.Sprintf("%d %d time", m.Beats, m.Unit)
}

// valueName names a note value for a tempo; ok is false for a length that is
// none from a breve to a thirty-second.
func valueName(d tune.Ticks) (name string, ok bool) {
	v, ok := tune.ValueOf(d)
	if !ok || v.Log2 < -1 || v.Log2 > 5 {
		return "", false
	}
	name = [...]string{"breve", "whole", "half", "quarter", "eighth", "sixteenth", "thirty-second"}[v.Log2+1]
	if v.Dots > 0 {
		name = "dotted " + name
	}
	return name, true
}

// part names a fraction of a beat below one.
func part(r, beat tune.Ticks) string {
	g := pitch.GCD(int64(r), int64(beat))
	num, den := int64(r)/g, int64(beat)/g
	switch {
	case den == 2:
		return "a half"
	case den == 3 && num == 1:
		return "a third"
	case den == 3:
		return "two thirds"
	case den == 4 && num == 1:
		return "a quarter"
	case den == 4:
		return "three quarters"
	case den == 6 && num == 1:
		return "a sixth"
	case den == 6:
		return "five sixths"
	}
	return fmt.Sprintf("%d/%d", num, den)
}

// long says how long a time is in beats.
func long(d, beat tune.Ticks) string {
	whole, rest := int64(d/beat), d%beat
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	n := strconv.FormatInt(whole, 10)
	if whole < int64(len(words)) {
		n = words[whole]
	}
	switch {
	case rest == 0 && whole == 1:
		return "one beat"
	case rest == 0:
		return n + " beats"
	case whole == 0 && rest*2 == beat:
		return "half a beat"
	case whole == 0:
		return part(rest, beat) + " of a beat"
	}
	return n + " and " + part(rest, beat) + " beats"
}
