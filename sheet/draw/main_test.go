package draw

import (
	"testing"

	"lapwright/internal/seeds"
)

func TestMain(m *testing.M) { seeds.Run(m, 20261201, 5000) }
