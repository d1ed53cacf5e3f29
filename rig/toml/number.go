package toml

import (
	"math"
	"strconv"
	"strings"
)

// figures reads numbers and moments.
type figures struct{ *cursor }

// digits takes digits, with single underscores between them; at least one.
func (r figures) digits(allowed string) {
	digit := func() bool { return r.at < len(r.src) && strings.IndexByte(allowed, r.src[r.at]) >= 0 }
	for {
		if !digit() {
			r.failHere("expected a digit, and got %s", r.seen())
		}
		for digit() {
			r.at++
		}
		if !r.take("_") {
			return
		}
	}
}

const decimal = "0123456789"

// bases are how whole numbers are written that are not decimal.
var bases = []struct {
	prefix, digits string
	base           int
}{{"0x", decimal + "abcdefABCDEF", 16}, {"0o", "01234567", 8}, {"0b", "01", 2}}

// number reads a whole number or one with a point or an exponent.
func (r figures) number() any {
	start := r.at
	signed := r.take("-") || r.take("+")
	for word, v := range map[string]float64{"inf": math.Inf(1), "nan": math.NaN()} {
		if r.take(word) {
			if r.src[start] == '-' {
				v = math.Copysign(v, -1)
			}
			return v
		}
	}
	if !signed {
		for _, b := range bases {
			if r.take(b.prefix) {
				r.digits(b.digits)
				return r.whole(start, start+len(b.prefix), b.base)
			}
		}
	}
	first := r.at
	r.digits(decimal)
	if r.src[first] == '0' && r.at > first+1 {
		r.fail(first, "a number does not begin with 0")
	}
	point := r.take(".")
	if point {
		r.digits(decimal)
	}
	exponent := r.take("e") || r.take("E")
	if exponent {
		if !r.take("-") {
			r.take("+")
		}
		r.digits(decimal)
	}
	if !point && !exponent {
		return r.whole(start, start, 10)
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(string(r.src[start:r.at]), "_", ""), 64)
	if err != nil {
		r.fail(start, "the number %s is out of range", r.src[start:r.at])
	}
	return v
}

// whole returns the whole number of which the digits were taken.
func (r figures) whole(start, digits, base int) int64 {
	v, err := strconv.ParseInt(strings.ReplaceAll(string(r.src[digits:r.at]), "_", ""), base, 64)
	if err != nil {
		r.fail(start, "the whole number %s is out of range", r.src[start:r.at])
	}
	return v
}

// momentBegins reports whether a date or a time of day comes next.
func (r figures) momentBegins() bool {
	b := r.src[r.at:]
	return len(b) > 2 && isDigit(b[1]) && b[2] == ':' || len(b) > 4 && isDigit(b[1]) && isDigit(b[2]) && isDigit(b[3]) && b[4] == '-'
}

// moment reads a date, a time of day or both.
func (r figures) moment() Moment {
	start := r.at
	if r.src[r.at+2] == ':' {
		r.clock()
		return Moment(r.src[start:r.at])
	}
	year := r.count(4, 0, 9999)
	r.mark("-")
	month := r.count(2, 1, 12)
	r.mark("-")
	r.count(2, 1, daysIn(year, month))
	timed := r.take("T") || r.take("t")
	if !timed && r.peek() == ' ' && r.at+1 < len(r.src) && isDigit(r.src[r.at+1]) {
		r.at++
		timed = true
	}
	if timed {
		r.clock()
		if !r.take("Z") && !r.take("z") && (r.take("+") || r.take("-")) {
			r.count(2, 0, 23)
			r.mark(":")
			r.count(2, 0, 59)
		}
	}
	return Moment(r.src[start:r.at])
}

// clock reads a time of day.
func (r figures) clock() {
	r.count(2, 0, 23)
	r.mark(":")
	r.count(2, 0, 59)
	if !r.take(":") {
		return
	}
	r.count(2, 0, 59)
	if r.take(".") {
		start := r.at
		for isDigit(r.peek()) {
			r.at++
		}
		if r.at == start {
			r.failHere("expected a digit, and got %s", r.seen())
		}
	}
}

func (r figures) mark(what string) {
	if !r.take(what) {
		r.failHere("expected %q in a date or time, and got %s", what, r.seen())
	}
}

// count takes n digits that say a number from least to most.
func (r figures) count(n, least, most int) int {
	v := 0
	for i := range n {
		if !isDigit(r.peek()) {
			r.failHere("expected a digit in a date or time, and got %s", r.seen())
		}
		v = 10*v + int(r.peek()-'0')
		r.at++
		if i == n-1 && (v < least || v > most) {
			r.fail(r.at-n, "there is no such date or time: %0*d is outside %d to %d", n, v, least, most)
		}
	}
	return v
}

func daysIn(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}
