package seeds

import (
	"flag"
	"fmt"
	"os"
	"strconv"
	"testing"
)

// Run runs a room's tests with a fixed seed and number of cases for each property,
// and ends the program. -rapid.seed and -rapid.checks on the command line try
// others. A failure writes no file, which would be tried again on every later run:
// the seed that is printed gives it again, and a table test keeps it.
func Run(m *testing.M, seed, checks int) {
	for name, value := range map[string]string{"rapid.seed": strconv.Itoa(seed), "rapid.checks": strconv.Itoa(checks), "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}
