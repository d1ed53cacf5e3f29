package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// tests is where the unit tests of the page's scripts are, below source.
const tests = "test"

// ran finds how many tests Node's runner has run, in what it prints last (Test
// Anything Protocol).
var ran = regexp.MustCompile(`(?m)^# pass (\d+)$`)

// runTests bundles the page's unit tests, each file by itself, and runs them by
// Node's own test runner. No test at all is a failure.
func runTests() error {
	entries, err := filepath.Glob(filepath.Join(source, tests, "*.test.ts"))
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return fmt.Errorf("no tests in %s", filepath.Join(source, tests))
	}
	dir, err := os.MkdirTemp("", "lapwright-page-tests-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	args := []string{"--test", "--test-reporter=tap", "--test-timeout=60000"} // one that waits for nothing fails, in ms
	for _, e := range entries {
		out := filepath.Join(dir, strings.TrimSuffix(filepath.Base(e), ".ts")+".mjs")
		res := api.Build(api.BuildOptions{
			EntryPoints: []string{e}, Bundle: true, Platform: api.PlatformNode, Format: api.FormatESModule,
			Target: api.ES2022, Sourcemap: api.SourceMapInline, Outfile: out, Write: true,
		})
		if len(res.Errors) > 0 {
			return fmt.Errorf("%s: %v", e, api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage}))
		}
		args = append(args, out)
	}
	said, err := exec.Command("node", args...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("the page's unit tests: %w\n%s", err, said)
	}
	passed := 0
	if m := ran.FindSubmatch(said); m != nil {
		passed, _ = strconv.Atoi(string(m[1]))
	}
	if passed < len(entries) {
		return fmt.Errorf("%d tests ran from %d files: they are not being seen\n%s", passed, len(entries), said)
	}
	fmt.Printf("%d tests of the page's scripts passed\n", passed)
	return nil
}
