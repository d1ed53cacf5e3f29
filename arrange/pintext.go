package arrange

import (
	"strconv"
	"strings"

	"lapwright/rig"
	"lapwright/tune"
)

// PinForm tells people how ParsePin reads a pin.
const PinForm = `bars, then what is fixed: "3-4 string 2", "5 fret 0", "1-8 frets 3-9", "2 closed square", "7 benders A B", "7 benders none", "4@1/4 grip 1:5 3:4"`

// ParsePin reads a pin from text: a bar or a range of bars as printed, each with
// "@" and a place in the bar as a fraction of a whole note if only that moment
// is meant, then one or more of: string N, fret N, frets LOW-HIGH, closed,
// square, benders with their marks or none, grip with STRING:FRET pairs.
func ParsePin(s string, r *rig.Rig) (Pin, error) {
	var p Pin
	words := strings.Fields(s)
	if len(words) < 2 {
		return p, refuse("the pin %q says too little: it wants %s", s, PinForm)
	}
	bars, place, one := strings.Cut(words[0], "@")
	from, to, many := strings.Cut(bars, "-")
	var err error
	if p.FromBarNumber, err = strconv.Atoi(from); err != nil {
		return p, refuse("the pin %q begins with %q, which is no bar", s, words[0])
	}
	p.ToBarNumber = p.FromBarNumber
	if many {
		if p.ToBarNumber, err = strconv.Atoi(to); err != nil {
			return p, refuse("the pin %q begins with %q, which is no range of bars", s, words[0])
		}
	}
	if one {
		at, ok := parsePlace(place)
		if !ok {
			return p, refuse("the pin %q has %q for a place in the bar; it wants a fraction of a whole note such as 3/8", s, place)
		}
		p.At = &at
	}
	rest := words[1:]
	number := func(what string) (int, error) {
		if len(rest) == 0 {
			return 0, refuse("the pin %q has %q without a number", s, what)
		}
		n, err := strconv.Atoi(rest[0])
		if err != nil || n < 0 {
			return 0, refuse("the pin %q has %q after %q, where a number belongs", s, rest[0], what)
		}
		rest = rest[1:]
		return n, nil
	}
	for len(rest) > 0 {
		word := rest[0]
		rest = rest[1:]
		switch word {
		case "string":
			if p.String, err = number(word); err != nil {
				return p, err
			}
			if p.String == 0 {
				return p, refuse("the pin %q asks for string 0: strings are counted from 1", s)
			}
		case "fret":
			n, err := number(word)
			if err != nil {
				return p, err
			}
			p.Fret = &n
		case "frets":
			if len(rest) == 0 {
				return p, refuse("the pin %q has \"frets\" without a range", s)
			}
			low, high, _ := strings.Cut(rest[0], "-")
			var errs [2]error
			p.Low, errs[0] = strconv.Atoi(low)
			p.High, errs[1] = strconv.Atoi(high)
			if errs[0] != nil || errs[1] != nil || p.Low < 1 || p.High < p.Low {
				return p, refuse("the pin %q has the frets %q, which is no range such as 3-9", s, rest[0])
			}
			rest = rest[1:]
		case "closed":
			p.Closed = true
		case "square":
			p.Square = true
		case "benders":
			set, left, err := parseBenders(s, rest, r)
			if err != nil {
				return p, err
			}
			p.Benders, rest = &set, left
		case "grip":
			for len(rest) > 0 {
				str, fret, ok := strings.Cut(rest[0], ":")
				if !ok {
					break
				}
				n, err1 := strconv.Atoi(str)
				f, err2 := strconv.Atoi(fret)
				if err1 != nil || err2 != nil {
					return p, refuse("the pin %q has %q in its grip, which is no string and fret such as 2:5", s, rest[0])
				}
				p.Grip = append(p.Grip, Stop{n, f})
				rest = rest[1:]
			}
			if len(p.Grip) == 0 {
				return p, refuse("the pin %q has a grip without strings", s)
			}
		default:
			return p, refuse("the pin %q has %q, which fixes nothing: it wants %s", s, word, PinForm)
		}
	}
	return p, p.check(r)
}

func parseBenders(s string, words []string, r *rig.Rig) (set rig.BenderSet, rest []string, err error) {
	if len(words) > 0 && words[0] == "none" {
		return 0, words[1:], nil
	}
	rest = words
next:
	for len(rest) > 0 {
		for i, b := range r.Benders {
			if strings.EqualFold(rest[0], b.Mark) {
				set |= 1 << i
				rest = rest[1:]
				continue next
			}
		}
		break
	}
	if set == 0 {
		return 0, nil, refuse("the pin %q names no bender of the rig", s)
	}
	return set, rest, nil
}

// ParseMoment reads a place in the music, such as "4@1/4": a bar as printed and
// a place in it as a fraction of a whole note; "4" is the start of the bar.
func ParseMoment(s string) (number int, at tune.Ticks, err error) {
	text, place, ok := strings.Cut(s, "@")
	if number, err = strconv.Atoi(text); err != nil {
		return 0, 0, refuse("%q is no place in the music such as 4@1/4", s)
	}
	if ok {
		if at, ok = parsePlace(place); !ok {
			return 0, 0, refuse("%q is no place in the music such as 4@1/4", s)
		}
	}
	return number, at, nil
}

// parsePlace reads a fraction of a whole note.
func parsePlace(s string) (tune.Ticks, bool) {
	num, den, ok := strings.Cut(s, "/")
	if !ok {
		den = "1"
	}
	a, err1 := strconv.ParseInt(num, 10, 32)
	b, err2 := strconv.ParseInt(den, 10, 32)
	if err1 != nil || err2 != nil || a < 0 {
		return 0, false
	}
	return tune.Of(a, b)
}
