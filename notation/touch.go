package notation

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/tune"
)

var unitLine = regexp.MustCompile(`(?m)^L:\s*([0-9]+)\s*/\s*([0-9]+)`)

// Append adds one note at the end of an ABC text of one tune, after a barline
// when the last bar is full. The rest of the text stays as it was typed. The
// accidental is always written when the key does not give it, or gives another.
func Append(text string, n pitch.Name, length tune.Ticks) (string, error) {
	tunes, _, err := abc.Read([]byte(text), "tune.abc")
	if err != nil {
		// A head without notes is no tune yet; with a rest it tells its key and meter.
		begun, _, bad := abc.Read([]byte(strings.TrimRight(text, " \t\n")+"\nz\n"), "tune.abc")
		if bad != nil {
			return "", err
		}
		tunes = begun
	}
	t := tunes[0]
	if len(t.Bars) == 0 {
		return "", &fault.Fault{Msg: "the tune has no bar to add to"}
	}
	if len(t.Voices) > 1 {
		return "", &fault.Fault{Msg: "the tune has several voices; notes are added to it as text"}
	}
	last := &t.Bars[len(t.Bars)-1]
	token, err := noteToken(n, last.Key, length, unitOf(text, last.Meter))
	if err != nil {
		return "", err
	}
	body := strings.TrimRight(text, " \t\n")
	line := body[strings.LastIndexByte(body, '\n')+1:]
	ended := strings.HasSuffix(body, "|") || strings.HasSuffix(body, "]") && strings.HasSuffix(body, "|]") || strings.HasSuffix(body, ":")
	field := len(line) > 1 && line[1] == ':' && line[0] != '|'
	out := body + " " + token + "\n"
	switch {
	case field:
		// Nothing but the head so far, or words under the last line.
		out = body + "\n" + token + "\n"
	case ended && strings.HasSuffix(body, "|]"):
		out = strings.TrimSuffix(body, "]") + " " + token + "\n"
	case !ended && last.Meter.Len() > 0 && last.Len >= last.Meter.Len():
		out = body + " | " + token + "\n"
	}
	// A text may end in the middle of something that swallows what follows.
	if !endsIn(out, n, length) {
		return "", &fault.Fault{Msg: "a note can't be added after what the text ends in", Hint: "finish the last line first"}
	}
	return out, nil
}

// endsIn reports whether the last note of a text is of that pitch and length.
func endsIn(text string, n pitch.Name, length tune.Ticks) bool {
	tunes, _, err := abc.Read([]byte(text), "tune.abc")
	if err != nil {
		return false
	}
	t := tunes[0]
	bars := t.Bars
	for i := len(bars) - 1; i >= 0; i-- {
		line := bars[i].Lines[0]
		for j := len(line) - 1; j >= 0; j-- {
			if e := &line[j]; e.Kind == tune.Sounding {
				return len(e.Notes) == 1 && e.Notes[0].Name.Key() == n.Key() && e.Len == length
			}
		}
	}
	return false
}

// unitOf returns the unit note length: the text's own, else the standard's rule
// (ABC 2.1, section 3.1.7: a sixteenth when the meter is less than 3/4 as a
// fraction, else an eighth).
func unitOf(text string, m tune.Meter) tune.Ticks {
	if all := unitLine.FindAllStringSubmatch(text, -1); len(all) > 0 {
		f := all[len(all)-1]
		num, _ := strconv.ParseInt(f[1], 10, 32)
		den, _ := strconv.ParseInt(f[2], 10, 32)
		if u, ok := tune.Of(num, den); ok && u > 0 {
			return u
		}
	}
	if m.Beats > 0 && 4*m.Beats < 3*m.Unit {
		return tune.Whole / 16
	}
	return tune.Whole / 8
}

// noteToken writes one note: accidental, letter, octave marks, length.
func noteToken(n pitch.Name, k pitch.Key, length, unit tune.Ticks) (string, error) {
	if length <= 0 {
		return "", &fault.Fault{Msg: fmt.Sprintf("a note of length %q can't be added", length)}
	}
	var b strings.Builder
	if alter := int(n.Class.Alter); alter != k.Alter(n.Class.Letter) {
		b.WriteString(map[int]string{-2: "__", -1: "_", 0: "=", 1: "^", 2: "^^"}[alter])
	}
	// c is the C above middle C (C5), C is middle C (C4).
	letter, octave := n.Class.Letter.String(), int(n.Octave)
	switch {
	case octave >= 5:
		b.WriteString(strings.ToLower(letter) + strings.Repeat("'", octave-5))
	default:
		b.WriteString(letter + strings.Repeat(",", 4-octave))
	}
	num, den := int64(length), int64(unit)
	for x, y := num, den; ; x, y = y, x%y {
		if y == 0 {
			num, den = num/x, den/x
			break
		}
	}
	switch {
	case den == 1 && num == 1:
	case den == 1:
		b.WriteString(strconv.FormatInt(num, 10))
	case num == 1:
		b.WriteString("/" + strconv.FormatInt(den, 10))
	default:
		fmt.Fprintf(&b, "%d/%d", num, den)
	}
	return b.String(), nil
}
