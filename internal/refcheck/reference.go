package refcheck

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// ReferenceEnv is the environment variable that names the reference folder
// when it isn't at ../shared/reference beside the repository.
const ReferenceEnv = "LAPWRIGHT_REFERENCE"

// Root gives the repository's root folder.
func Root(t testing.TB) string {
	t.Helper()
	_, here, _, ok := runtime.Caller(0)
	if !ok {
		t.Fatal("the test can't tell where its own source is")
	}
	return filepath.Dir(filepath.Dir(filepath.Dir(here)))
}

// Reference gives a path below the reference folder and fails the test when
// nothing is there.
func Reference(t testing.TB, parts ...string) string {
	t.Helper()
	root := os.Getenv(ReferenceEnv)
	if root == "" {
		root = filepath.Join(Root(t), "..", "shared", "reference")
	}
	path := filepath.Join(append([]string{root}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("reference data is missing: %v\nput the reference folder at ../shared/reference beside the repository, or name it in %s", err, ReferenceEnv)
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
