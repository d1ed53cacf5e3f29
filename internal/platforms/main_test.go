// SPDX-License-Identifier: MIT

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestOtherPlatformsAreRead plants a fault that only Windows sees, one that only its
// tests see, and a number too large for 32 bits (the Go specification: int is 32 or
// 64 bits wide, and a constant must be representable).
func TestOtherPlatformsAreRead(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"go.mod":              "module elsewhere\n\ngo 1.26\n",
		"all.go":              "package elsewhere\n",
		"door_windows.go":     "package elsewhere\n\nvar door string = 1\n",
		"key_windows_test.go": "package elsewhere\n\nvar key string = 2\n",
		"wide/wide.go":        "package wide\n\nvar Wide int = 1 << 40\n",
	} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for platform, want := range map[string][]string{
		"linux/arm64":   nil,
		"windows/amd64": {"door_windows.go:3:19", "key_windows_test.go:3:18"},
		"linux/386":     {"wide.go:3:16"},
	} {
		faults, err := check(dir, platform)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, f := range faults {
			said += f.Error() + "\n"
		}
		for _, w := range want {
			if !strings.Contains(said, w) {
				t.Errorf("%s: nothing is said of %s:\n%s", platform, w, said)
			}
		}
		if len(want) == 0 && said != "" {
			t.Errorf("%s: %s", platform, said)
		}
	}
	for _, bad := range []string{"linux", "moon/lamp"} {
		if _, err := check(dir, bad); err == nil {
			t.Errorf("%q is taken for a platform", bad)
		}
	}
	if faults, err := check(t.TempDir(), "linux/386"); err == nil && len(faults) == 0 {
		t.Error("a folder without a module has nothing wrong")
	}
}
