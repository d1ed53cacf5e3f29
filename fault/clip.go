package fault

import "strings"

// clipRunes is how much of a bad value a message quotes.
const clipRunes = 40

// Clip returns a text as a message quotes it: its first 40 characters, and "…"
// when there are more, with "?" for bytes that are no UTF-8.
func Clip(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if r := []rune(s); len(r) > clipRunes {
		return string(r[:clipRunes]) + "…"
	}
	return s
}
