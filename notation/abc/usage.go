package abc

import (
	"strings"

	"lapwright/notation/abc/terms"
)

// usage is how a tune uses the signs of its music, as its fields I: and U: have it.
type usage struct {
	b       *book
	symbols map[byte]string // of U: fields, each a decoration or annotation with the signs around it
	plus    bool            // decorations between plus signs
	breaks  string          // what breaks a line: some of "<EOL>", "$", "!"
	carry   terms.Carry     // how far an accidental carries
}

// instruction takes I: or %%.
func (u *usage) instruction(s string, lineNumber, col int) {
	name, value, _ := strings.Cut(strings.TrimSpace(s), " ")
	value = strings.TrimSpace(value)
	switch name {
	case "linebreak":
		u.breaks = value
	case "decoration":
		u.plus = value == "+"
	case "propagate-accidentals":
		switch value {
		case "not":
			u.carry = terms.CarryNot
		case "octave":
			u.carry = terms.CarryOctave
		case "pitch":
			u.carry = terms.CarryPitch
		default:
			u.b.warn(lineNumber, col, "%q is no way for accidentals to carry", terms.Clip(value))
		}
	case "abc-charset":
		if !strings.EqualFold(value, "utf-8") && !strings.EqualFold(value, "us-ascii") && !strings.EqualFold(value, "iso-8859-1") {
			u.b.warn(lineNumber, col, "the character set %q is not known; UTF-8 or ISO 8859-1 is read", terms.Clip(value))
		}
	case "abc-version", "abc-creator", "":
	default:
		u.b.once("%%"+name, lineNumber, col, "the instruction %q is not used", terms.Clip(name))
	}
}

// symbolField takes U: such as "T = !trill!".
func (u *usage) symbolField(s string, lineNumber, col int) {
	name, value, ok := strings.Cut(s, "=")
	name, value = strings.TrimSpace(name), strings.TrimSpace(value)
	if !ok || len(name) != 1 || !(name[0] >= 'H' && name[0] <= 'Z' || name[0] >= 'h' && name[0] <= 'z' || name[0] == '~') || strings.IndexByte("XYZxyz", name[0]) >= 0 {
		u.b.warn(lineNumber, col, "%q defines no symbol: a letter H to W or h to w, or ~, is wanted", terms.Clip(s))
		return
	}
	if len(value) < 3 || value[0] != value[len(value)-1] || strings.IndexByte(`!+"`, value[0]) < 0 {
		u.b.warn(lineNumber, col, "%q is neither a decoration nor an annotation", terms.Clip(value))
		return
	}
	u.symbols[name[0]] = value
}

// letter returns the decoration or annotation that a letter stands for, and the sign
// that would stand around it.
func (u *usage) letter(c byte) (text string, around byte, ok bool) {
	if text, ok := u.symbols[c]; ok {
		return text[1 : len(text)-1], text[0], true
	}
	text, ok = shorthand[c]
	return text, '!', ok
}
