package terms

import (
	"html"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/fault"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/unicode/norm"
)

// accents are the combining marks of the standard's text mnemonics (section
// 8.2): a backslash, the accent, the letter.
var accents = map[byte]rune{
	'`': '\u0300', '\'': '\u0301', '^': '\u0302', '~': '\u0303', '"': '\u0308',
	'c': '\u0327', '=': '\u0304', '/': '\u0338', 'v': '\u030c', 'u': '\u0306', ';': '\u0328', '.': '\u0307', 'H': '\u030b', 'r': '\u030a',
}

// letters are the mnemonics that are no letter with an accent.
var letters = map[string]string{
	"AA": "Å", "aa": "å", "AE": "Æ", "ae": "æ", "OE": "Œ", "oe": "œ", "ss": "ß",
	"/O": "Ø", "/o": "ø", "DH": "Ð", "dh": "ð", "TH": "Þ", "th": "þ",
}

// DecodeText returns a text string as it is meant: mnemonics, named characters
// and \u escapes resolved, and bytes that are not UTF-8 read as ISO 8859-1, the
// character set of older files.
func DecodeText(s string) string {
	if !utf8.ValidString(s) {
		if d, err := charmap.ISO8859_1.NewDecoder().String(s); err == nil {
			s = d
		}
	}
	s = strings.Map(func(r rune) rune {
		if r == '\t' {
			return ' '
		}
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	if strings.IndexByte(s, '\\') >= 0 {
		s = unescape(s)
	}
	if strings.IndexByte(s, '&') >= 0 {
		s = html.UnescapeString(s)
	}
	return strings.TrimSpace(s)
}

func unescape(s string) string {
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' || i+1 == len(s) {
			out.WriteByte(s[i])
			continue
		}
		rest := s[i+1:]
		if len(rest) >= 2 {
			if l, ok := letters[rest[:2]]; ok {
				out.WriteString(l)
				i += 2
				continue
			}
			if n := map[byte]int{'u': 4, 'U': 8}[rest[0]]; n > 0 && len(rest) > n {
				if r, err := strconv.ParseUint(rest[1:n+1], 16, 32); err == nil && utf8.ValidRune(rune(r)) && r >= ' ' {
					out.WriteRune(rune(r))
					i += n + 1
					continue
				}
			}
			c := rest[1]
			if mark, ok := accents[rest[0]]; ok && (c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z') {
				out.WriteString(norm.NFC.String(string(c) + string(mark)))
				i += 2
				continue
			}
		}
		if strings.IndexByte(`\%&"`, rest[0]) >= 0 {
			if rest[0] == '&' {
				out.WriteString("&amp;") // resolved with the named characters
			} else {
				out.WriteByte(rest[0])
			}
			i++
			continue
		}
		out.WriteByte('\\')
	}
	return out.String()
}

// EncodeText is the inverse of DecodeText for a field's text on one line.
func EncodeText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.TrimSpace(s))
	return strings.NewReplacer(`\`, `\\`, `%`, `\%`, `&`, `&amp;`).Replace(s)
}

// EncodeQuoted is the same for text between quotation marks.
func EncodeQuoted(s string) string { return strings.ReplaceAll(EncodeText(s), `"`, "&quot;") }

// Clip shortens a text of the file for a message.
func Clip(s string) string { return fault.Clip(strings.TrimSpace(s)) }
