package report

import (
	"strconv"

	"lapwright/pitch"
	"lapwright/wire"
)

// Each kind of quantity is rounded in one way, to what it is worth. Figures never
// round to minus nothing.

func fret(f float64) float64          { return decimals(f, 3) } // a thousandth is a tenth of a cent, or less
func cents(c float64) float64         { return decimals(c, 1) } // 5 are heard
func degrees(a float64) float64       { return decimals(a, 1) } // of the steel's lean
func points(p float64) float64        { return decimals(p, 2) } // prices are whole hundredths
func grade(d float64) float64         { return decimals(d, 1) } // difficulty, 0 to 10
func share(s float64) float64         { return decimals(s, 3) } // 0 to 1
func seconds(s float64) float64       { return decimals(s, 1) } // that a tune lasts
func moment(s float64) float64        { return decimals(s, 3) } // in a recording, seconds
func decibels(l float64) float64      { return decimals(l, 2) }
func hertz(f pitch.Hz) float64        { return decimals(float64(f), 2) } // at C2 a hundredth is a quarter of a cent
func newtons(n wire.Newtons) float64  { return decimals(float64(n), 0) } // no string is made truer
func pounds(n wire.Newtons) float64   { return decimals(float64(n/wire.PoundForce), 1) }
func percent(s float64) float64       { return decimals(100*s, 0) }      // of what breaks a string
func percentTenths(s float64) float64 { return decimals(100*s, 1) }      // of how sure a figure is
func gauge(d wire.MM) float64         { return decimals(float64(d), 3) } // mm
func inches(d wire.MM) float64        { return decimals(float64(d/wire.Inch), 4) }
func millimetres(l wire.MM) float64   { return decimals(float64(l), 2) }     // of an instrument
func travel(mm wire.MM) float64       { return significant(float64(mm), 2) } // of a string that is stretched

// beatDigits are the decimals of beats a second.
const beatDigits = 1

// decimals returns v to n decimals.
func decimals(v float64, n int) float64 { return shortened(v, 'f', n) }

// significant returns v to n significant digits.
func significant(v float64, n int) float64 { return shortened(v, 'e', n-1) }

func shortened(v float64, format byte, digits int) float64 {
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, format, digits, 64), 64)
	if err != nil || out == 0 {
		return 0
	}
	return out
}

// list makes an empty list of none, so that JSON has [] and not null.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}
