// Package further marks the tests, and the cases of tests, that make full runs and make
// test leaves to it, so that what every change waits for stays short.
//
// It is no part of the program. Entry points: Asked, Few, Only.
package further

import (
	"os"
	"testing"
)

// everythingEnv is the variable that make full sets.
const everythingEnv = "LAPWRIGHT_TEST_ALL"

// Asked reports whether everything is to be tested.
func Asked() bool { return os.Getenv(everythingEnv) != "" }

// Few returns how many cases are tried: some, or all where everything is to be tested.
func Few(some, all int) int {
	if Asked() {
		return all
	}
	return some
}

// Only skips a test unless everything is to be tested.
func Only(t testing.TB) {
	t.Helper()
	if !Asked() {
		t.Skip("left to make full, which sets " + everythingEnv)
	}
}
