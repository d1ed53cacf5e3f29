package terms

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

// KeyField is what a K: field says.
type KeyField struct {
	Key    pitch.Key
	Set    bool   // it names a key, not a clef only
	Clef   Clef   // what it says of the staff
	Unread string // what in it is not understood
}

// Clef is the part of a clef that moves notes, and its name.
type Clef struct {
	Name      string
	Octave    int // octaves that the notes sound higher
	Semitones int // transposition on top
}

// ParseKey reads the value of a K: field.
func ParseKey(s string) KeyField {
	var out KeyField
	words := strings.Fields(s)
	if len(words) == 0 {
		out.Set = true
		return out
	}
	first := words[0]
	rest := words[1:]
	switch {
	case first == "none":
		out.Set = true
	case first == "HP" || first == "Hp":
		// The pipes' scale: written without or with a signature, it has F and C
		// sharp on the tonic A.
		out.Key, _ = pitch.NewKey(pitch.Class{Letter: pitch.A}, pitch.Mixolydian)
		out.Set = true
	case first[0] >= 'A' && first[0] <= 'G':
		out.Set = true
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
			out.Unread = word
		}
		key, err := pitch.NewKey(tonic, mode)
		if err != nil {
			key = farKey(tonic, mode)
		}
		if explicit {
			key.Signature = [7]int8{}
		}
		out.Key = key
	default:
		rest = words
	}
	for len(rest) > 0 {
		w := rest[0]
		rest = rest[1:]
		if out.Set && strings.IndexByte("^_=", w[0]) >= 0 {
			if !alterKey(&out.Key, w) {
				out.Unread = w
			}
			continue
		}
		if !out.Clef.Read(w) {
			out.Unread = w
		}
	}
	if out.Set {
		plain, err := pitch.NewKey(out.Key.Tonic, out.Key.Mode)
		out.Key.Own = err != nil || plain.Signature != out.Key.Signature
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
		alter, n := ParseAccidental(s)
		if n == 0 || n == len(s) {
			return false
		}
		l, ok := LetterOf(s[n])
		if !ok {
			return false
		}
		k.Signature[l] = int8(alter)
		s = s[n+1:]
	}
	return true
}

// ParseAccidental reads ^, ^^, _, __ or = and says how many bytes it took.
func ParseAccidental(s string) (alter, n int) {
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

// LetterOf returns the letter of a note, large or small.
func LetterOf(c byte) (pitch.Letter, bool) {
	i := strings.IndexByte("CDEFGAB", c&^0x20)
	if i < 0 {
		return 0, false
	}
	return pitch.Letter(i), true
}

// clefs that the standard names (section 4.6).
var clefs = map[string]bool{
	"treble": true, "alto": true, "tenor": true, "bass": true, "perc": true, "none": true,
	"treble1": true, "treble2": true, "bass3": true, "alto1": true, "alto2": true, "auto": true,
}

// Read takes one word of a K: or V: field that has to do with the staff.
func (c *Clef) Read(w string) bool {
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
		c.Name, c.Octave = value, c.Octave+octave
	case "octave", "transpose", "t":
		n, err := strconv.Atoi(value)
		switch {
		case err != nil || n < -48 || n > 48:
			return false
		case name != "octave":
			c.Octave, c.Semitones = c.Octave+n/12, n%12
		case n < -4 || n > 4:
			return false
		default:
			c.Octave += n
		}
	case "middle", "m", "stafflines", "staffscale", "stem", "gstem", "dyn", "lyrics", "gchord", "style":
		// The look of the staff, which is Lapwright's own.
	default:
		return false
	}
	return true
}

// ParseMeter reads the value of an M: field.
func ParseMeter(s string) (tune.Meter, error) {
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
	bad := fmt.Errorf("%q is no meter", Clip(s))
	if !ok {
		return tune.Meter{}, bad
	}
	unit, err := strconv.Atoi(strings.TrimSpace(bottom))
	if err != nil || unit < 1 || unit > tune.MaxUnit || unit&(unit-1) != 0 {
		return tune.Meter{}, bad
	}
	top = strings.Trim(strings.TrimSpace(top), "()")
	m := tune.Meter{Unit: unit}
	for part := range strings.SplitSeq(top, "+") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil || n < 1 || n > tune.MaxBeats || m.Beats+n > tune.MaxBeats {
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

// UnitOf is the note length of a tune that gives none (section 3.1.7): a
// sixteenth when the meter as a fraction is under 0.75, else an eighth.
func UnitOf(m tune.Meter) tune.Ticks {
	if m.Beats > 0 && 4*m.Beats < 3*m.Unit {
		return tune.Whole / 16
	}
	return tune.Whole / 8
}

// ParseUnit reads the value of an L: field.
func ParseUnit(s string) (tune.Ticks, error) {
	s = strings.TrimSpace(s)
	top, bottom, ok := strings.Cut(s, "/")
	if !ok {
		bottom = "1"
	}
	num, err1 := strconv.Atoi(strings.TrimSpace(top))
	den, err2 := strconv.Atoi(strings.TrimSpace(bottom))
	if err1 != nil || err2 != nil || num != 1 || den < 1 || den > 512 || den&(den-1) != 0 {
		return 0, fmt.Errorf("%q is no unit note length", Clip(s))
	}
	return tune.Whole / tune.Ticks(den), nil
}

// ParseTempo reads the value of a Q: field; unit is the unit note length.
// old says that it was in a way the standard has given up.
func ParseTempo(s string, unit tune.Ticks) (out tune.Tempo, old bool, err error) {
	bad := fmt.Errorf("%q is no tempo", Clip(s))
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
		if t := DecodeText(s[open+1 : open+1+end]); t != "" {
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
	if !ok || out.PerMinute < 1 || out.PerMinute > tune.MaxPerMinute {
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

// FormatKey returns a key as a K: field has it.
func FormatKey(k pitch.Key) string {
	if plain, err := pitch.NewKey(k.Tonic, k.Mode); err == nil && plain.Signature == k.Signature {
		suffix := map[pitch.Mode]string{
			pitch.Lydian: "lyd", pitch.Mixolydian: "mix", pitch.Dorian: "dor", pitch.Minor: "m", pitch.Phrygian: "phr", pitch.Locrian: "loc",
		}[k.Mode]
		if n := k.Tonic.Alter; n >= -1 && n <= 1 {
			return k.Tonic.String() + suffix
		}
	}
	tonic := k.Tonic
	tonic.Alter = max(min(tonic.Alter, 1), -1)
	text := tonic.String() + " " + map[pitch.Mode]string{
		pitch.Lydian: "lyd", pitch.Major: "maj", pitch.Mixolydian: "mix", pitch.Dorian: "dor", pitch.Minor: "min", pitch.Phrygian: "phr", pitch.Locrian: "loc",
	}[k.Mode]
	for l, alter := range k.Signature {
		text += " " + FormatAccidental(int(alter)) + strings.ToLower(pitch.Letter(l).String())
	}
	return text
}

// FormatAccidental returns the sign for an alteration of −2 to 2 semitones.
func FormatAccidental(alter int) string {
	return [...]string{"__", "_", "=", "^", "^^"}[alter+2]
}

// FormatTempo returns a tempo as a Q: field has it.
func FormatTempo(x tune.Tempo) string {
	text := ""
	if x.Text != "" {
		text = `"` + EncodeQuoted(x.Text) + `"`
	}
	if x.PerMinute == 0 {
		return text
	}
	if text != "" {
		text += " "
	}
	speed := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%d.%03d", x.PerMinute/1000, x.PerMinute%1000), "0"), ".")
	num, den := x.Beat.Fraction()
	return fmt.Sprintf("%s%d/%d=%s", text, num, den, speed)
}

// NormalOf returns in the time of how many notes a tuplet of p is played when it
// does not say (section 4.13).
func NormalOf(p int, m tune.Meter) int {
	switch p {
	case 2, 4, 8:
		return 3
	case 3, 6:
		return 2
	}
	if m.Beats > 3 && m.Beats%3 == 0 {
		return 3
	}
	return 2
}

// GraceUnit is the written value of a grace with no length: an eighth when it
// stands alone, a sixteenth in a group, as they are mostly printed (the
// standard leaves it open, section 4.12).
func GraceUnit(n int) tune.Ticks {
	if n == 1 {
		return tune.Whole / 8
	}
	return tune.Whole / 16
}
