package listen

import (
	"flag"
	"fmt"
	"os"
	"testing"
)

// The property test is the same on every run; -rapid.seed and -rapid.checks on
// the command line try others, and 1,000 checks or more ask for the whole sweep.
func TestMain(m *testing.M) {
	for name, value := range map[string]string{"rapid.seed": "20261129", "rapid.checks": "40"} {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}
