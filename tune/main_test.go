package tune_test

import (
	"testing"

	"lapwright/internal/seeds"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) { seeds.Run(m, 20260104, 300) }
