package spacing

import (
	"flag"
	"fmt"
	"os"
	"testing"
)

// The property tests are the same on every run; -rapid.seed and -rapid.checks
// on the command line try others.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"rapid.seed": "20260103", "rapid.checks": "300"} {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}
