package main

import (
	"runtime/debug"
	"strings"
	"testing"

	"lapwright/internal/notices"
)

// Every module that the Go linker wrote into this very binary, which holds the
// whole program, has its notice in this version: but for those of the tests.
func TestEveryLinkedModuleHasItsNotice(t *testing.T) {
	tests := []string{"github.com/rogpeppe/go-internal", "pgregory.net/rapid", "golang.org/x/tools", "github.com/google/go-cmp"}
	info, ok := debug.ReadBuildInfo()
	if !ok || len(info.Deps) < 10 {
		t.Fatalf("the binary names %d modules", len(info.Deps))
	}
	names := map[string]bool{}
	for _, p := range notices.Notices() {
		names[p.Name] = true
	}
next:
	for _, m := range info.Deps {
		for _, own := range tests {
			if m.Path == own {
				continue next
			}
		}
		if !names[m.Path+" "+m.Version] {
			t.Errorf("%s %s has no notice; run make notices", m.Path, m.Version)
		}
	}
	if !strings.HasPrefix(notices.Text(), notices.Rule) {
		t.Error("the notices begin with no part")
	}
}
