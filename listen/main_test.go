package listen

import (
	"testing"

	"lapwright/internal/seeds"
)

// The property test is the same on every run; -rapid.seed and -rapid.checks on
// the command line try others, and 1,000 checks or more ask for the whole sweep.
func TestMain(m *testing.M) { seeds.Run(m, 20261129, 40) }
