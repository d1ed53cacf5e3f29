package refcheck

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// Root gives the repository's root folder.
func Root(t testing.TB) string {
	t.Helper()
	_, here, _, ok := runtime.Caller(0)
	if !ok {
		t.Fatal("the test can't tell where its own source is")
	}
	return filepath.Dir(filepath.Dir(filepath.Dir(here)))
}

// Reference gives a path below third_party/witness, the outside witnesses that
// tests compare with, and fails the test when nothing is there.
func Reference(t testing.TB, parts ...string) string {
	t.Helper()
	path := filepath.Join(append([]string{Root(t), "third_party", "witness"}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("a witness is missing from the clone: %v", err)
	}
	return path
}

// NodeTools gives the folder to run node in so that it finds the npm packages
// that tests compare against, and fails the test when package pkg isn't
// installed there.
func NodeTools(t testing.TB, pkg string) string {
	t.Helper()
	dir := filepath.Join(Root(t), "internal", "refcheck", "node")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", pkg, "package.json")); err != nil {
		t.Fatalf("npm package %q is missing: %v\nrun `make test-tools` to install the libraries that tests compare against", pkg, err)
	}
	return dir
}
