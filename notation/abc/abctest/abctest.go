// Package abctest gives tests tunes that are written in ABC.
//
// Entry point: Tune.
package abctest

import (
	"testing"

	"lapwright/notation/abc"
	"lapwright/tune"
)

// Tune reads the first tune of a text, which must have one; what a reader is warned of is left aside.
func Tune(t testing.TB, text string) *tune.Tune {
	t.Helper()
	tunes, _, err := abc.Read([]byte(text), "test.abc")
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return tunes[0]
}
