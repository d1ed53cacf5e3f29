package abc

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/tune"
)

// modes by the first three letters of their names (section 3.1.14).
var modes = map[string]pitch.Mode{
	"": pitch.Major, "m": pitch.Minor, "maj": pitch.Major, "ion": pitch.Major, "min": pitch.Minor, "aeo": pitch.Minor,
	"mix": pitch.Mixolydian, "dor": pitch.Dorian, "phr": pitch.Phrygian, "lyd": pitch.Lydian, "loc": pitch.Locrian,
}

// keyField is what a K: field says.
type keyField struct {
	key    pitch.Key
	set    bool   // it names a key, not a clef only
	clef   clef   // what it says of the staff
	unread string // what in it is not understood
}

// clef is the part of a clef that moves notes, and its name.
type clef struct {
	name      string
	octave    int // octaves that the notes sound higher
	semitones int // transposition on top
}

// parseKey reads the value of a K: field.
func parseKey(s string) keyField {
	var out keyField
	words := strings.Fields(s)
	if len(words) == 0 {
		out.set = true
		return out
	}
	first := words[0]
	rest := words[1:]
	switch {
	case first == "none":
		out.set = true
	case first == "HP" || first == "Hp":
		// The pipes' scale: written without or with a signature, it has F and C
		// sharp on the tonic A.
		out.key, _ = pitch.NewKey(pitch.Class{Letter: pitch.A}, pitch.Mixolydian)
		out.set = true
	case first[0] >= 'A' && first[0] <= 'G':
		out.set = true
		n := 1
		if n < len(first) && (first[n] == '#' || first[n] == 'b') {
			n++
		}
		tonic, _ := pitch.ParseClass(first[:n])
		word := first[n:]
		explicit := false
		mode, ok := modeOf(word)
		if word == "" && len(rest) > 0 {
			if m, found := modeOf(rest[0]); found {
				mode, rest = m, rest[1:]
			} else if strings.EqualFold(rest[0], "exp") {
				explicit, rest = true, rest[1:]
			}
		} else if strings.EqualFold(word, "exp") {
			explicit, ok = true, true
		} else if i := strings.IndexAny(word, "^_="); !ok && i >= 0 {
			explicit = strings.EqualFold(word[:i], "exp")
			if mode, ok = modeOf(word[:i]); ok || explicit {
				ok = true
				rest = append([]string{word[i:]}, rest...)
			}
		}
		if !ok {
			out.unread = word
		}
		key, err := pitch.NewKey(tonic, mode)
		if err != nil {
			key = farKey(tonic, mode)
		}
		if explicit {
			key.Signature = [7]int8{}
		}
		out.key = key
	default:
		rest = words
	}
	for len(rest) > 0 {
		w := rest[0]
		rest = rest[1:]
		if out.set && strings.IndexByte("^_=", w[0]) >= 0 {
			if !alterKey(&out.key, w) {
				out.unread = w
			}
			continue
		}
		if !out.clef.read(w) {
			out.unread = w
		}
	}
	if out.set {
		plain, err := pitch.NewKey(out.key.Tonic, out.key.Mode)
		out.key.Own = err != nil || plain.Signature != out.key.Signature
	}
	return out
}

func modeOf(word string) (pitch.Mode, bool) {
	word = strings.ToLower(word)
	if len(word) > 3 {
		word = word[:3]
	}
	m, ok := modes[word]
	return m, ok
}

// farKey is a key with more than seven sharps or flats: some are double.
func farKey(tonic pitch.Class, m pitch.Mode) pitch.Key {
	k := pitch.Key{Tonic: tonic, Mode: m, Own: true}
	at := tonic.Fifths() - int(m) // the signature's place on the line of fifths
	for f := at - 1; f < at+6; f++ {
		c := pitch.ClassAtFifths(f)
		k.Signature[c.Letter] = c.Alter
	}
	return k
}

// alterKey puts accidentals such as "^f" or "_b=e" into a signature.
func alterKey(k *pitch.Key, s string) bool {
	for s != "" {
		alter, n := accidental(s)
		if n == 0 || n == len(s) {
			return false
		}
		l, ok := letterOf(s[n])
		if !ok {
			return false
		}
		k.Signature[l] = int8(alter)
		s = s[n+1:]
	}
	return true
}

// accidental reads ^, ^^, _, __ or = and says how many bytes it took.
func accidental(s string) (alter, n int) {
	switch {
	case strings.HasPrefix(s, "^^"):
		return 2, 2
	case strings.HasPrefix(s, "^"):
		return 1, 1
	case strings.HasPrefix(s, "__"):
		return -2, 2
	case strings.HasPrefix(s, "_"):
		return -1, 1
	case strings.HasPrefix(s, "="):
		return 0, 1
	}
	return 0, 0
}

func letterOf(c byte) (pitch.Letter, bool) {
	i := strings.IndexByte("CDEFGAB", c&^0x20)
	if i < 0 || c < 'A' || c > 'g' || c > 'G' && c < 'a' {
		return 0, false
	}
	return pitch.Letter(i), true
}

// clefs that the standard names (section 4.6).
var clefs = map[string]bool{
	"treble": true, "alto": true, "tenor": true, "bass": true, "perc": true, "none": true,
	"treble1": true, "treble2": true, "bass3": true, "alto1": true, "alto2": true, "auto": true,
}

// read takes one word of a K: or V: field that has to do with the staff.
func (c *clef) read(w string) bool {
	name, value, pair := strings.Cut(w, "=")
	if !pair {
		value = w
		name = "clef"
	}
	value = strings.Trim(value, `"`)
	switch name {
	case "clef":
		base := value
		octave := 0
		for suffix, n := range map[string]int{"+8": 1, "-8": -1, "+15": 2, "-15": -2} {
			if b, ok := strings.CutSuffix(value, suffix); ok {
				base, octave = b, n
			}
		}
		if !clefs[base] {
			return false
		}
		c.name, c.octave = value, c.octave+octave
	case "octave", "transpose", "t":
		n, err := strconv.Atoi(value)
		switch {
		case err != nil || n < -48 || n > 48:
			return false
		case name != "octave":
			c.octave, c.semitones = c.octave+n/12, n%12
		case n < -4 || n > 4:
			return false
		default:
			c.octave += n
		}
	case "middle", "m", "stafflines", "staffscale", "stem", "gstem", "dyn", "lyrics", "gchord", "style":
		// The look of the staff, which is Lapwright's own.
	default:
		return false
	}
	return true
}

// parseMeter reads the value of an M: field.
func parseMeter(s string) (tune.Meter, error) {
	s = strings.TrimSpace(s)
	switch s {
	case "", "none":
		return tune.Meter{}, nil
	case "C":
		return tune.Meter{Beats: 4, Unit: 4, Symbol: "C"}, nil
	case "C|":
		return tune.Meter{Beats: 2, Unit: 2, Symbol: "C|"}, nil
	}
	top, bottom, ok := strings.Cut(s, "/")
	bad := fmt.Errorf("%q is no meter", clip(s))
	if !ok {
		return tune.Meter{}, bad
	}
	unit, err := strconv.Atoi(strings.TrimSpace(bottom))
	if err != nil || unit < 1 || unit > tune.LargestUnit || unit&(unit-1) != 0 {
		return tune.Meter{}, bad
	}
	top = strings.Trim(strings.TrimSpace(top), "()")
	m := tune.Meter{Unit: unit}
	for part := range strings.SplitSeq(top, "+") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil || n < 1 || n > tune.MostBeats || m.Beats+n > tune.MostBeats {
			return tune.Meter{}, bad
		}
		m.Beats += n
		m.Groups = append(m.Groups, n)
	}
	if len(m.Groups) == 1 {
		m.Groups = nil
	}
	return m, nil
}

// unitOf is the note length of a tune that gives none (section 3.1.7): a
// sixteenth when the meter as a fraction is under 0.75, else an eighth.
func unitOf(m tune.Meter) tune.Ticks {
	if m.Beats > 0 && 4*m.Beats < 3*m.Unit {
		return tune.Whole / 16
	}
	return tune.Whole / 8
}

// parseUnit reads the value of an L: field.
func parseUnit(s string) (tune.Ticks, error) {
	s = strings.TrimSpace(s)
	top, bottom, ok := strings.Cut(s, "/")
	if !ok {
		bottom = "1"
	}
	num, err1 := strconv.Atoi(strings.TrimSpace(top))
	den, err2 := strconv.Atoi(strings.TrimSpace(bottom))
	if err1 != nil || err2 != nil || num != 1 || den < 1 || den > 512 || den&(den-1) != 0 {
		return 0, fmt.Errorf("%q is no unit note length", clip(s))
	}
	return tune.Whole / tune.Ticks(den), nil
}

// parseTempo reads the value of a Q: field; unit is the unit note length.
// old says that it was in a way the standard has given up.
func parseTempo(s string, unit tune.Ticks) (out tune.Tempo, old bool, err error) {
	bad := fmt.Errorf("%q is no tempo", clip(s))
	s = strings.TrimSpace(s)
	for {
		open := strings.IndexByte(s, '"')
		if open < 0 {
			break
		}
		end := strings.IndexByte(s[open+1:], '"')
		if end < 0 {
			return out, false, bad
		}
		if t := decodeText(s[open+1 : open+1+end]); t != "" {
			out.Text = strings.TrimSpace(out.Text + " " + t)
		}
		s = strings.TrimSpace(s[:open] + " " + s[open+end+2:])
	}
	if s == "" {
		if out.Text == "" {
			return out, false, bad
		}
		return out, false, nil
	}
	notes, speed, ok := strings.Cut(s, "=")
	if !ok {
		notes, speed, old = "", s, true
	}
	out.PerMinute, ok = thousandths(strings.TrimSpace(speed))
	if !ok || out.PerMinute < 1 || out.PerMinute > tune.MostPerMinute {
		return out, old, bad
	}
	for _, w := range strings.Fields(notes) {
		if w[0] == 'C' || w[0] == 'c' {
			// "C=120", "C3=40": so many unit notes.
			old = true
			n := 1
			if len(w) > 1 {
				if n, err = strconv.Atoi(w[1:]); err != nil || n < 1 || n > 64 {
					return out, old, bad
				}
			}
			out.Beat += tune.Ticks(n) * unit
			continue
		}
		top, bottom, ok := strings.Cut(w, "/")
		num, err1 := strconv.Atoi(top)
		den, err2 := strconv.Atoi(bottom)
		if !ok || err1 != nil || err2 != nil || num < 1 || den < 1 || num > 1024 {
			return out, old, bad
		}
		beat, ok := tune.Of(int64(num), int64(den))
		if !ok {
			return out, old, bad
		}
		out.Beat += beat
	}
	if notes == "" {
		out.Beat = unit
	}
	if out.Beat <= 0 || out.Beat > 16*tune.Whole {
		return out, old, bad
	}
	return out, old, nil
}

// thousandths reads a decimal number with at most three places.
func thousandths(s string) (int64, bool) {
	whole, part, _ := strings.Cut(s, ".")
	if len(part) > 3 || len(whole) > 9 {
		return 0, false
	}
	n, err := strconv.ParseUint(whole+part+strings.Repeat("0", 3-len(part)), 10, 62)
	return int64(n), err == nil
}
