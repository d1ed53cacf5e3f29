package tabtext

import (
	"strconv"
	"strings"

	"lapwright/notation/columns"
	"lapwright/tune"
)

// usualNormal gives the number of notes in whose time so many are played when
// nobody says otherwise.
var usualNormal = map[int]int{2: 3, 3: 2, 4: 3, 5: 4, 6: 4, 7: 4, 9: 8}

// formatRhythm writes an event's letter with the slurs and tuplets that begin
// and end at it. barLen is the length of a full bar of its meter; strings is
// the list of the strings it plays, "" for all of its column.
func formatRhythm(e *tune.Event, barLen tune.Ticks, strings_ string) string {
	var b strings.Builder
	b.WriteString(strings.Repeat("(", max(e.Slurs, 0)))
	ends := 0
	for _, t := range e.Tuplets {
		if t.Starts {
			b.WriteString("[" + strconv.Itoa(t.Actual))
			if usualNormal[t.Actual] != t.Normal {
				b.WriteString(":" + strconv.Itoa(t.Normal))
			}
		}
		if t.Ends {
			ends++
		}
	}
	switch {
	// Nothing is drawn for a skip, so that it may have no value of its own.
	case e.Value.BarRest, e.Kind == tune.Skip && e.Value == tune.Value{} && len(e.Tuplets) == 0 && e.Len != tune.Whole:
		if e.Kind == tune.Skip {
			b.WriteString("Z")
		} else {
			b.WriteString("R")
		}
		if e.Len != barLen {
			b.WriteString("=" + e.Len.String())
		}
	default:
		switch e.Kind {
		case tune.Rest:
			b.WriteString("r")
		case tune.Skip:
			b.WriteString("z")
		}
		b.WriteString(columns.FormatValue(e.Value))
	}
	b.WriteString(strings_)
	b.WriteString(strings.Repeat("]", ends))
	b.WriteString(strings.Repeat(")", max(e.SlurEnds, 0)))
	return b.String()
}

// formatGrace writes a grace's letter.
func formatGrace(g *tune.Grace, strings_ string) string {
	s := "'"
	if g.Slash {
		s += "/"
	}
	return s + columns.FormatValue(g.Value) + strings_
}

// rhythmToken is one token of a rhythm line taken apart.
type rhythmToken struct {
	grace   bool
	slash   bool
	kind    tune.Kind
	value   tune.Value
	barLen  tune.Ticks // of a bar rest that names its length
	opens   []tune.Tuplet
	closes  int
	slurs   int
	slurEnd int
	strings []int // nil for all of the column
}

// scanRhythm takes a token of a rhythm line apart. When it is none it gives
// the byte at which reading stopped and what was expected there.
func scanRhythm(s string) (t rhythmToken, at int, want string) {
	digits := func() (int, bool) {
		end := at
		for end < len(s) && s[end] >= '0' && s[end] <= '9' && end-at < 4 {
			end++
		}
		n, err := strconv.Atoi(s[at:end])
		if err != nil {
			return 0, false
		}
		at = end
		return n, true
	}
	if strings.HasPrefix(s, "'") {
		t.grace = true
		at++
		if at < len(s) && s[at] == '/' {
			t.slash = true
			at++
		}
	} else {
		for at < len(s) && s[at] == '(' {
			t.slurs++
			at++
		}
		for at < len(s) && s[at] == '[' {
			at++
			x, want := scanTuplet(s, &at, digits)
			if want != "" {
				return t, at, want
			}
			t.opens = append(t.opens, x)
		}
	}
	if at < len(s) && (s[at] == 'R' || s[at] == 'Z') && !t.grace {
		t.kind = tune.Rest
		if s[at] == 'Z' {
			t.kind = tune.Skip
		}
		t.value.BarRest = true
		at++
		if at < len(s) && s[at] == '=' {
			end := at + 1
			for end < len(s) && (s[end] >= '0' && s[end] <= '9' || s[end] == '/') {
				end++
			}
			l, ok := columns.ParseFraction(s[at+1 : end])
			if !ok || l <= 0 {
				return t, at + 1, "the length of the bar as a fraction of a whole note expected"
			}
			t.barLen, at = l, end
		}
	} else {
		if at < len(s) && !t.grace {
			switch s[at] {
			case 'r':
				t.kind = tune.Rest
				at++
			case 'z':
				t.kind = tune.Skip
				at++
			}
		}
		v, n := columns.ScanValue(s[at:])
		if n == 0 {
			return t, at, "a note value (w h q e s t x, with dots) expected"
		}
		t.value = v
		at += n
	}
	if at < len(s) && s[at] == ':' {
		at++
		t.strings = []int{}
		for at < len(s) && s[at] >= '0' && s[at] <= '9' {
			n, _ := digits()
			t.strings = append(t.strings, n)
			if at < len(s) && s[at] == ',' {
				at++
			}
		}
	}
	for at < len(s) && s[at] == ']' {
		t.closes++
		at++
	}
	for at < len(s) && s[at] == ')' {
		t.slurEnd++
		at++
	}
	if at < len(s) {
		return t, at, "the end of the rhythm letter expected"
	}
	return t, at, ""
}

// scanTuplet reads the numbers of a tuplet: "3", "5:6".
func scanTuplet(s string, at *int, digits func() (int, bool)) (x tune.Tuplet, want string) {
	n, ok := digits()
	if !ok || n < 1 || n > tune.MaxTuplet {
		return x, "the number of a tuplet expected"
	}
	m, known := usualNormal[n]
	if *at < len(s) && s[*at] == ':' {
		*at++
		if m, ok = digits(); !ok || m < 1 || m > tune.MaxTuplet {
			return x, "the other number of the tuplet expected"
		}
	} else if !known {
		return x, "\":\" and how many notes' time the tuplet takes expected"
	}
	return tune.Tuplet{Actual: n, Normal: m, Starts: true}, ""
}

// timed returns an event the tuplets it stands in and its length. The answer is
// "", or what is wrong, with %q for the letter.
func (t *rhythmToken) timed(e *tune.Event, open []tune.Tuplet, m tune.Meter) string {
	for _, o := range open {
		o.Starts = false
		e.Tuplets = append(e.Tuplets, o)
	}
	e.Tuplets = append(e.Tuplets, t.opens...)
	if t.closes > len(e.Tuplets) {
		return "%q ends a tuplet that did not begin"
	}
	for c := range t.closes {
		e.Tuplets[len(e.Tuplets)-1-c].Ends = true
	}
	ok := true
	if t.value.BarRest {
		if e.Len = t.barLen; e.Len == 0 {
			e.Len = m.Len()
		}
	} else {
		e.Len, ok = t.value.Scaled(e.Tuplets)
	}
	switch {
	case !ok || e.Len <= 0 || e.At+e.Len > tune.MaxWholes*tune.Whole:
		return "the length of %q can't be told or held"
	case e.Kind != tune.Sounding && len(e.Graces) > 0:
		return "graces before the rest %q"
	}
	return ""
}
