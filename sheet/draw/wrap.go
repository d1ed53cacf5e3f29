package draw

import (
	"strings"
	"unicode/utf8"
)

// Wrap breaks a text into lines no wider than width; a single word that is
// wider is cut.
func Wrap(text string, f Font, em, width float64) []string {
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			for {
				try := word
				if line != "" {
					try = line + " " + word
				}
				if f.Width(try)*em <= width {
					line = try
					break
				}
				if line != "" {
					out = append(out, line)
					line = ""
					continue
				}
				n, sum := 0, 0.0
				for i, r := range word {
					sum += f.Width(string(r)) * em
					if i > 0 && sum > width {
						break
					}
					n = i + utf8.RuneLen(r)
					if r == utf8.RuneError {
						n = i + 1 // it may stand for one bad byte
					}
				}
				if n == len(word) {
					line = word // a letter that is wider than the line
					break
				}
				out = append(out, word[:n])
				word = word[n:]
			}
		}
		out = append(out, line)
	}
	return out
}
