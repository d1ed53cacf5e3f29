package pitch

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/fault"
)

// intervalWords lists the names of the degrees, unison first.
var intervalWords = [...]string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh",
	"octave", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "double octave"}

// plainSemitones gives the semitones of the major or perfect interval of each
// number of steps within the octave, and whether it is perfect.
var plainSemitones = [7]int{0, 2, 4, 5, 7, 9, 11}

func perfect(steps int) bool { return steps%7 == 0 || steps%7 == 3 || steps%7 == 4 }

// String returns the name of an interval: "minor third", "perfect fifth",
// "falling major sixth", "doubly augmented fourth". Beyond two octaves, or
// bent further than twice, it is given in steps and semitones.
func (iv Interval) String() string {
	if iv.Steps < 0 || (iv.Steps == 0 && iv.Semitones < 0) {
		return "falling " + Interval{-iv.Steps, -iv.Semitones}.String()
	}
	off := iv.Semitones - plainSemitones[iv.Steps%7] - 12*(iv.Steps/7)
	if iv.Steps >= len(intervalWords) || off < -3 || off > 2 {
		return fmt.Sprintf("interval of %d steps and %d semitones", iv.Steps, iv.Semitones)
	}
	kinds := []string{"doubly diminished", "diminished", "minor", "major", "augmented", "doubly augmented"}
	if perfect(iv.Steps) {
		kinds = []string{"", "doubly diminished", "diminished", "perfect", "augmented", "doubly augmented"}
	}
	kind := kinds[off+3]
	if kind == "" {
		return fmt.Sprintf("interval of %d steps and %d semitones", iv.Steps, iv.Semitones)
	}
	if iv == Unison || iv == Octave || iv == (Interval{14, 24}) {
		return intervalWords[iv.Steps]
	}
	return kind + " " + intervalWords[iv.Steps]
}

// Short returns the interval in the usual short form: "m3", "P5", "A4", "d7".
func (iv Interval) Short() string {
	if iv.Steps < 0 || (iv.Steps == 0 && iv.Semitones < 0) {
		return "-" + Interval{-iv.Steps, -iv.Semitones}.Short()
	}
	off := iv.Semitones - plainSemitones[iv.Steps%7] - 12*(iv.Steps/7)
	n := strconv.Itoa(iv.Steps + 1)
	switch {
	case off > 0:
		return strings.Repeat("A", off) + n
	case perfect(iv.Steps) && off == 0:
		return "P" + n
	case perfect(iv.Steps):
		return strings.Repeat("d", -off) + n
	case off == 0:
		return "M" + n
	case off == -1:
		return "m" + n
	}
	return strings.Repeat("d", -off-1) + n
}

// ParseInterval reads an interval: short ("m3", "P5", "A4", "-M6") or in words
// ("minor third", "fifth", "falling major sixth"); "third", "sixth" and other
// imperfect intervals alone are major. Numbers run from 1 to 15.
func ParseInterval(s string) (Interval, error) {
	bad := fmt.Errorf("%q is not an interval: a form such as \"m3\", \"P5\" or \"major sixth\" expected", fault.Clip(s))
	text := strings.TrimSpace(s)
	falling := false
	if rest, ok := strings.CutPrefix(text, "-"); ok {
		text, falling = rest, true
	} else if rest, ok := strings.CutPrefix(strings.ToLower(text), "falling "); ok {
		text, falling = rest, true
	}
	out, ok := parseShort(text)
	if !ok {
		out, ok = parseWords(strings.Fields(strings.ToLower(text)))
	}
	if !ok || (out.Semitones < 0 && out.Steps == 0) {
		return Interval{}, bad
	}
	if falling {
		return Interval{-out.Steps, -out.Semitones}, nil
	}
	return out, nil
}

func parseShort(text string) (Interval, bool) {
	kind := strings.TrimRight(text, "0123456789")
	n, err := strconv.Atoi(text[len(kind):])
	if err != nil || n < 1 || n > 15 {
		return Interval{}, false
	}
	return interval(n-1, kind)
}

// interval makes an interval from its steps and kind: P M m A AA d dd.
func interval(steps int, kind string) (Interval, bool) {
	iv := Interval{steps, plainSemitones[steps%7] + 12*(steps/7)}
	p := perfect(steps)
	switch {
	case kind == "P" && p, kind == "M" && !p:
	case kind == "m" && !p:
		iv.Semitones--
	case kind == "A":
		iv.Semitones++
	case kind == "AA":
		iv.Semitones += 2
	case kind == "d" && p:
		iv.Semitones--
	case kind == "d", kind == "dd" && p:
		iv.Semitones -= 2
	case kind == "dd":
		iv.Semitones -= 3
	default:
		return Interval{}, false
	}
	return iv, true
}

func parseWords(words []string) (Interval, bool) {
	if len(words) == 0 {
		return Interval{}, false
	}
	kinds := map[string]string{"perfect": "P", "major": "M", "minor": "m", "augmented": "A", "diminished": "d"}
	for steps, w := range intervalWords {
		have := strings.Fields(w)
		if len(words) < len(have) || strings.Join(words[len(words)-len(have):], " ") != w {
			continue
		}
		before := words[:len(words)-len(have)]
		switch {
		case len(before) == 0 && perfect(steps):
			return interval(steps, "P")
		case len(before) == 0:
			return interval(steps, "M")
		case len(before) == 1 && kinds[before[0]] != "":
			return interval(steps, kinds[before[0]])
		case len(before) == 2 && before[0] == "doubly" && (before[1] == "augmented" || before[1] == "diminished"):
			k := kinds[before[1]]
			return interval(steps, k+k)
		}
	}
	return Interval{}, false
}
