package pitch

import "strings"

// majorSteps are the semitones of the degrees of a major scale.
var majorSteps = [7]int{0, 2, 4, 5, 7, 9, 11}

// ParseDegree reads a chord that is named by number against a tonic: a degree of the
// major scale, 1 to 7, raised by "#" or lowered by "b" before it, then a quality as
// ParseChord has it and a bass, a degree too, after a slash: "1", "2m", "57", "b7",
// "1/3". In a minor key the numbers count the major scale on its tonic all the same, so
// that its own chords are 1m, b3 and 5 or 5m. "57" is the seventh chord on five.
//
// The error is always a *BadChord.
func ParseDegree(s string, tonic Class) (Chord, error) {
	text := strings.TrimSpace(s)
	root, rest, ok := degree(text, tonic)
	if !ok {
		return Chord{}, &BadChord{text, 0, "a number 1 to 7 expected"}
	}
	at := len(text) - len(rest)
	if strings.HasPrefix(rest, "#") || strings.HasPrefix(rest, "b") || strings.HasPrefix(rest, "x") || strings.HasPrefix(rest, "\xe2") {
		return Chord{}, &BadChord{text, at, "a sign stands before its number"}
	}
	head, bass, slash := cutBass(rest)
	name := root.String() + head
	if slash {
		b, left, ok := degree(bass, tonic)
		if !ok || left != "" {
			return Chord{}, &BadChord{text, at + len(head) + 1, "a number 1 to 7 expected"}
		}
		name += "/" + b.String()
	}
	c, err := ParseChord(name)
	if bad, is := err.(*BadChord); is {
		return Chord{}, &BadChord{text, min(max(at+bad.Offset-len(root.String()), 0), len(text)), bad.Want}
	}
	return c, err
}

// cutBass parts a quality from the number of a bass: "/9" adds a ninth and is none.
func cutBass(s string) (quality, bass string, found bool) {
	i := strings.LastIndexByte(s, '/')
	if i < 0 || strings.HasPrefix(s[i+1:], "9") || strings.HasPrefix(s[i+1:], "11") || strings.HasPrefix(s[i+1:], "13") {
		return s, "", false
	}
	return s[:i], s[i+1:], true
}

// degree reads a number with its sign, and gives what is left.
func degree(s string, tonic Class) (c Class, rest string, ok bool) {
	alter := 0
	for rest = s; rest != "" && (rest[0] == 'b' || rest[0] == '#') && alter > -2 && alter < 2; rest = rest[1:] {
		alter++
		if rest[0] == 'b' {
			alter -= 2
		}
	}
	if rest == "" || rest[0] < '1' || rest[0] > '7' {
		return c, s, false
	}
	k := int(rest[0] - '1')
	return tonic.Up(Interval{Steps: k, Semitones: majorSteps[k] + alter}), rest[1:], true
}

// Degree names a chord by number against a tonic, as ParseDegree reads it.
func (c Chord) Degree(tonic Class) string {
	s := number(c.Root, tonic) + c.Quality
	if c.Bass != c.Root {
		s += "/" + number(c.Bass, tonic)
	}
	return s
}

// number names a class as a degree of the major scale on a tonic.
func number(c, tonic Class) string {
	k := Mod(int(c.Letter-tonic.Letter), 7)
	alter := Mod(c.Semitone()-tonic.Semitone()-majorSteps[k]+6, 12) - 6
	sign := strings.Repeat("#", max(alter, 0)) + strings.Repeat("b", max(-alter, 0))
	return sign + string(rune('1'+k))
}
