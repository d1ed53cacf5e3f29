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
// others.
func Run(m *testing.M, seed, checks int) {
	for name, value := range map[string]int{"rapid.seed": seed, "rapid.checks": checks} {
		if err := flag.Set(name, strconv.Itoa(value)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	flag.Parse()
	os.Exit(m.Run())
}
