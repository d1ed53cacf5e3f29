package typed

import (
	"regexp"
	"strconv"
	"strings"

	"lapwright/notation/columns"
	"lapwright/pitch"
	"lapwright/tune"
)

// lineKind is what a line about a system is.
type lineKind int

const (
	wordLine lineKind = iota
	chordLine
	rhythmLine
	countLine
	numberLine
	endingLine
	partLine
	handLine
)

var (
	looseLetter = regexp.MustCompile(`^[rR]?[whqestxWHQESTX]\.{0,2}3?$`)
	looseCount  = regexp.MustCompile(`^(?:[1-9]|1[0-2]|&|\+|and|n|e|a)$`)
	loosePart   = regexp.MustCompile(`(?i)^\s*[\[({]?\s*((?:intro|introduction|verse|chorus|refrain|bridge|turnaround|interlude|outro|tag)(?:\s+[0-9A-H])?|part\s+[0-9A-H]|(?:[0-9A-H]|first|second|third)\s+part)\s*[\])}]?\s*:?\s*$`)
	looseEnding = regexp.MustCompile(`^[\[|]?([12])\.[-_]*[\]|]?$`)
)

// tokens cuts a line at blanks and at barlines.
func tokens(l columns.TextLine) []columns.Span {
	var out []columns.Span
	for _, sp := range l.Words(0, len(l.Text)) {
		if strings.Trim(sp.Text, "|-_:") == "" {
			continue
		}
		out = append(out, sp)
	}
	return out
}

// kindOf says what a line about a system is. sys is the system above the line,
// nil for a line above one.
func kindOf(l columns.TextLine, above *looseSystem) lineKind {
	ts := tokens(l)
	if len(ts) == 0 {
		return wordLine
	}
	all := func(ok func(string) bool) bool {
		for _, t := range ts {
			if !ok(t.Text) {
				return false
			}
		}
		return true
	}
	isNumber := func(s string) bool { n, err := strconv.Atoi(s); return err == nil && n >= 0 }
	switch {
	case loosePart.MatchString(l.Text):
		return partLine
	case all(looseEnding.MatchString):
		return endingLine
	case all(isNumber):
		ones := 0
		for _, t := range ts {
			if t.Text == "1" {
				ones++
			}
		}
		if ones > 1 || ones == 1 && len(ts) > 1 && ts[1].Text == "2" && ts[1].Col-ts[0].Col < 10 {
			return countLine
		}
		return numberLine
	case all(looseCount.MatchString) && isNumber(ts[0].Text):
		return countLine
	case above != nil && all(func(s string) bool { return strings.Trim(s, "TIM") == "" }):
		return handLine
	case all(looseLetter.MatchString) && !all(func(s string) bool { return s == "E" }):
		return rhythmLine
	case all(func(s string) bool {
		_, err := pitch.ParseChord(s)
		return err == nil || s == "N.C." || s == "NC" || s == "%" || s == "/"
	}):
		return chordLine
	}
	return wordLine
}

// looseValue reads a rhythm letter.
func looseValue(s string) (v tune.Value, rest, triplet bool) {
	if c := s[0]; c == 'r' || c == 'R' {
		rest = true
		s = s[1:]
	}
	if t, ok := strings.CutSuffix(s, "3"); ok {
		triplet, s = true, t
	}
	v, _ = columns.ScanValue(strings.ToLower(s))
	return v, rest, triplet
}
