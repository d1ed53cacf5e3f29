package tabtext

import (
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/pitch"
	"lapwright/tune"
)

// barSigns reads from the line of signs what holds for the whole bar: endings,
// parts, key, meter and how often a repeat is played.
func (s *system) barSigns(i int, b *tune.Bar) bool {
	l := s.others["signs"]
	for _, sp := range s.region(l, i) {
		switch {
		case strings.HasPrefix(sp.Text, "["):
			list, ok := strings.CutSuffix(sp.Text[1:], ".")
			for _, w := range strings.Split(list, ",") {
				n, err := strconv.Atoi(w)
				if err != nil || n < 1 || n > tune.MaxRepeats || !ok {
					s.r.fail(l, sp.Byte, "an ending such as \"[1.\" or \"[1,2.\" expected, not %q", fault.Clip(sp.Text))
					return false
				}
				b.Endings = append(b.Endings, n)
			}
		case sp.Text == "]":
			b.EndingEnds = true
		case strings.HasPrefix(sp.Text, "{"):
			word, rest := braced(sp.Text)
			var err error
			switch word {
			case "part":
				if strings.HasPrefix(rest, `"`) {
					text, n, ok := columns.ScanQuoted(rest)
					if !ok || n != len(rest) {
						s.r.fail(l, sp.Byte, "one quoted text expected in %q", fault.Clip(sp.Text))
						return false
					}
					rest = text
				}
				b.Part = rest
			case "key":
				b.Key, err = pitch.ParseKey(rest)
			case "meter":
				b.Meter, err = columns.ParseMeter(rest)
			case "play":
				n, e := strconv.Atoi(strings.TrimSuffix(rest, " times"))
				if e != nil || n < 2 || n > tune.MaxRepeats+1 {
					s.r.fail(l, sp.Byte, "a form such as \"{play 3 times}\" expected, not %q", fault.Clip(sp.Text))
					return false
				}
				b.Right.Repeat = n - 1
			}
			if err != nil {
				s.r.fail(l, sp.Byte, "%v", err)
				return false
			}
		}
	}
	return true
}

// braced takes "{word rest}" apart, whether or not a time follows.
func braced(s string) (word, rest string) {
	end := strings.LastIndexByte(s, '}')
	if end < 0 {
		return "", ""
	}
	word, rest, _ = strings.Cut(s[1:end], " ")
	return word, strings.TrimSpace(rest)
}

// timedSigns reads what stands at an instant: tempos, jumps and words.
func (s *system) timedSigns(i int, b *tune.Bar, k *known) bool {
	l := s.others["signs"]
	for _, sp := range s.region(l, i) {
		if strings.HasPrefix(sp.Text, "[") || sp.Text == "]" {
			continue
		}
		if strings.HasPrefix(sp.Text, "{") {
			if w, _ := braced(sp.Text); w == "part" || w == "key" || w == "meter" || w == "play" {
				continue
			}
		}
		text, at, ok := s.timeOf(l, sp, k)
		if !ok {
			return false
		}
		if body, ok := strings.CutPrefix(text, "{"); ok {
			body, closed := strings.CutSuffix(body, "}")
			if !closed {
				s.r.fail(l, sp.Byte, "\"}\" expected at the end of %q", fault.Clip(text))
				return false
			}
			if rest, ok := strings.CutPrefix(body, "tempo "); ok {
				x, err := columns.ParseTempo(rest)
				if err != nil {
					s.r.fail(l, sp.Byte, "%v", err)
					return false
				}
				x.At = at
				b.Tempos = append(b.Tempos, x)
				continue
			}
			sign, ok := scanSign(body)
			if !ok {
				s.r.fail(l, sp.Byte, "unknown sign %q", fault.Clip(text))
				return false
			}
			sign.At = at
			b.Signs = append(b.Signs, sign)
			continue
		}
		x := tune.TextAt{At: at}
		text, x.Below = strings.CutPrefix(text, "_")
		words, n, ok := columns.ScanQuoted(text)
		if !ok || n != len(text) {
			s.r.fail(l, sp.Byte, "an ending, a sign in braces or words in quotes expected, not %q", fault.Clip(sp.Text))
			return false
		}
		x.Text = words
		b.Texts = append(b.Texts, x)
	}
	return true
}

// scanSign reads a jump: its word, and the music's own words for it.
func scanSign(body string) (tune.Sign, bool) {
	word, own, given := strings.Cut(body, "=")
	for k, w := range signWords {
		if w != word {
			continue
		}
		x := tune.Sign{Kind: k}
		if given {
			text, n, ok := columns.ScanQuoted(own)
			if !ok || n != len(own) {
				return x, false
			}
			x.Text = text
		}
		return x, true
	}
	return tune.Sign{}, false
}
