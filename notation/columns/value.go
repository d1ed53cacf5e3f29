package columns

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/tune"
)

// valueLetters are the note values from the longest (eight whole notes) to a
// 64th; shorter ones are written n128 … n1024.
var valueLetters = [...]string{"WWW", "WW", "W", "w", "h", "q", "e", "s", "t", "x"}

// FormatValue writes a note value: a letter and its dots.
func FormatValue(v tune.Value) string {
	i := int(v.Log2) - tune.MinLog2
	s := ""
	if i >= 0 && i < len(valueLetters) {
		s = valueLetters[i]
	} else {
		s = "n" + strconv.Itoa(1<<uint(max(v.Log2, 0)))
	}
	return s + strings.Repeat(".", int(max(v.Dots, 0)))
}

// ScanValue reads a note value from the head of s and says how many bytes it
// took, 0 for none.
func ScanValue(s string) (tune.Value, int) {
	v, n := tune.Value{}, 0
	switch {
	case s == "":
		return v, 0
	case s[0] == 'W':
		for n < len(s) && s[n] == 'W' && n < 3 {
			n++
		}
		v.Log2 = int8(-n)
	case s[0] == 'n':
		end := 1
		for end < len(s) && s[end] >= '0' && s[end] <= '9' {
			end++
		}
		for log := int8(7); log <= tune.MaxLog2; log++ {
			if s[1:end] == strconv.Itoa(1<<uint(log)) {
				v.Log2, n = log, end
			}
		}
		if n == 0 {
			return v, 0
		}
	default:
		for i := 3; i < len(valueLetters); i++ {
			if s[0] == valueLetters[i][0] {
				v.Log2, n = int8(i+tune.MinLog2), 1
			}
		}
		if n == 0 {
			return v, 0
		}
	}
	for n < len(s) && s[n] == '.' && v.Dots < tune.MaxDots {
		v.Dots++
		n++
	}
	return v, n
}

// formatTicks writes a time as a note value where a plain one has it, else as a
// fraction.
func formatTicks(t tune.Ticks) string {
	if v, ok := tune.ValueOf(t); ok {
		return FormatValue(v)
	}
	return t.String()
}

// parseTicks reads what formatTicks writes.
func parseTicks(s string) (tune.Ticks, bool) {
	if v, n := ScanValue(s); n > 0 && n == len(s) {
		return v.Len(), true
	}
	return ParseFraction(s)
}

// ParseFraction reads a time such as "3/8" or "0".
func ParseFraction(s string) (tune.Ticks, bool) {
	num, den, cut := strings.Cut(s, "/")
	a, err := strconv.ParseInt(num, 10, 64)
	if err != nil || a < 0 {
		return 0, false
	}
	b := int64(1)
	if cut {
		if b, err = strconv.ParseInt(den, 10, 64); err != nil {
			return 0, false
		}
	}
	return tune.Of(a, b)
}

// FormatMeter writes a meter: "3/4", "2+2+3/8", "free", with the symbol after
// it when the music writes one.
func FormatMeter(m tune.Meter) string {
	if m.Beats == 0 {
		return "free"
	}
	s := m.Numerator() + "/" + strconv.Itoa(m.Unit)
	if m.Symbol != "" {
		s += " " + m.Symbol
	}
	return s
}

// ParseMeter reads what formatMeter writes, and "C" or "C|" alone.
func ParseMeter(s string) (tune.Meter, error) {
	bad := func() (tune.Meter, error) {
		return tune.Meter{}, fmt.Errorf("%q is not a meter: a form such as \"3/4\", \"2+2+3/8\" or \"free\" expected", fault.Clip(s))
	}
	words := strings.Fields(s)
	if len(words) == 0 || len(words) > 2 {
		return bad()
	}
	var m tune.Meter
	switch words[0] {
	case "free":
		if len(words) > 1 {
			return bad()
		}
		return m, nil
	case "C":
		return tune.Meter{Beats: 4, Unit: 4, Symbol: "C"}, nil
	case "C|":
		return tune.Meter{Beats: 2, Unit: 2, Symbol: "C|"}, nil
	}
	beats, unit, ok := strings.Cut(words[0], "/")
	if !ok {
		return bad()
	}
	groups := strings.Split(beats, "+")
	for _, g := range groups {
		n, err := strconv.Atoi(g)
		if err != nil || n < 1 || n > tune.MaxBeats || m.Beats+n > tune.MaxBeats {
			return bad()
		}
		m.Beats += n
		if len(groups) > 1 {
			m.Groups = append(m.Groups, n)
		}
	}
	n, err := strconv.Atoi(unit)
	if err != nil || n < 1 || n > tune.MaxUnit || n&(n-1) != 0 {
		return bad()
	}
	m.Unit = n
	if len(words) == 2 {
		if words[1] != "C" && words[1] != "C|" {
			return bad()
		}
		m.Symbol = words[1]
	}
	return m, nil
}

// FormatTempo writes a tempo: `q=120`, `q.=62.5 "Slowly"`, `"Slowly"`.
func FormatTempo(t tune.Tempo) string {
	s := ""
	if t.PerMinute != 0 || t.Beat != 0 {
		beat := "0"
		if t.Beat != 0 {
			beat = formatTicks(t.Beat)
		}
		s = beat + "=" + thousandths(t.PerMinute)
	}
	if t.Text != "" || s == "" {
		if s != "" {
			s += " "
		}
		s += Quote(t.Text)
	}
	return s
}

func thousandths(n int64) string {
	s := fmt.Sprintf("%d.%03d", n/1000, n%1000)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// ParseTempo reads what formatTempo writes.
func ParseTempo(s string) (tune.Tempo, error) {
	bad := fmt.Errorf("%q is not a tempo: a form such as `q=120` or `q.=60 \"Slowly\"` expected", fault.Clip(s))
	var t tune.Tempo
	rest := strings.TrimSpace(s)
	if i := strings.IndexByte(rest, '"'); i >= 0 {
		text, n, ok := ScanQuoted(rest[i:])
		if !ok || i+n != len(rest) {
			return t, bad
		}
		t.Text = text
		rest = strings.TrimSpace(rest[:i])
		if rest == "" {
			return t, nil
		}
	}
	beat, rate, ok := strings.Cut(rest, "=")
	if !ok {
		return t, bad
	}
	if t.Beat, ok = parseTicks(beat); !ok {
		return t, bad
	}
	whole, part, dot := strings.Cut(rate, ".")
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil || n < 0 || n*1000 > tune.MaxPerMinute || len(part) > 3 || (dot && part == "") {
		return t, bad
	}
	t.PerMinute = n * 1000
	if dot {
		p, err := strconv.ParseInt((part + "000")[:3], 10, 64)
		if err != nil || p < 0 {
			return t, bad
		}
		t.PerMinute += p
	}
	return t, nil
}

// Quote writes a text in double quotes, on one line, with every rune that a
// plain-text line can't carry escaped.
func Quote(s string) string { return strconv.Quote(s) }

// ScanQuoted reads a quoted text from the head of s and says how many bytes it
// took.
func ScanQuoted(s string) (string, int, bool) {
	q, err := strconv.QuotedPrefix(s)
	if err != nil || q[0] != '"' {
		return "", 0, false
	}
	text, err := strconv.Unquote(q)
	return text, len(q), err == nil
}
