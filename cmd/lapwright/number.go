package main

import (
	"fmt"
	"math"
	"strconv"

	"lapwright/internal/console"
)

// number is a number on the command line. It keeps the text, so that a message
// quotes what was typed, and an absent number is not a zero.
type number struct {
	text  string // "" when the flag was not given and has no default
	value float64
}

// UnmarshalText reads a flag's value; kong calls it.
func (n *number) UnmarshalText(b []byte) error {
	v, err := strconv.ParseFloat(string(b), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%q is not a number", b)
	}
	n.text, n.value = string(b), v
	return nil
}

func (n number) given() bool { return n.text != "" }

// within refuses a number out of its range, ends included; unit follows the
// range in the message, such as " Hz".
func (n number) within(flag string, low, high float64, unit string) error {
	if !n.given() || n.value >= low && n.value <= high {
		return nil
	}
	return console.Usagef("%s: %q is not from %g to %g%s", flag, n.text, low, high, unit)
}
