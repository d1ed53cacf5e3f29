package leads_test

import (
	"testing"

	"lapwright/internal/seeds"
)

// The property tests are the same on every run.
func TestMain(m *testing.M) { seeds.Run(m, 20261202, 200) }
