package refcheck

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// Root returns the repository's root folder.
func Root(t testing.TB) string {
	t.Helper()
	if root() == "" {
		t.Fatal("the test can't tell where its own source is")
	}
	return root()
}

// root is where this file's own folder's folder's folder is, or "".
func root() string {
	_, here, _, ok := runtime.Caller(0)
	if !ok {
		return ""
	}
	return filepath.Dir(filepath.Dir(filepath.Dir(here)))
}

// Reference returns a path below third_party/witness, the outside witnesses that
// tests compare with, and fails the test when nothing is there.
func Reference(t testing.TB, parts ...string) string {
	t.Helper()
	path := filepath.Join(append([]string{Root(t), "third_party", "witness"}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("a witness is missing from the clone: %v", err)
	}
	return path
}

// NodeTools returns the folder to run node in so that it finds the npm packages
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

// BrowserVariable names the browser to test with, when it is not one of those in
// .ci/browsers.
const BrowserVariable = "LAPWRIGHT_TEST_BROWSER"

// Browser returns the path of the browser that the tests drive: the one that
// BrowserVariable names, or the first of .ci/browsers on the PATH.
func Browser() (string, error) {
	if name := os.Getenv(BrowserVariable); name != "" {
		path, err := exec.LookPath(name)
		if err != nil {
			return "", fmt.Errorf("%s: %w", BrowserVariable, err)
		}
		return path, nil
	}
	list, err := os.ReadFile(filepath.Join(root(), ".ci", "browsers"))
	if err != nil {
		return "", err
	}
	names := strings.Fields(string(list))
	if path := firstOf(names); path != "" {
		return path, nil
	}
	return "", fmt.Errorf("no browser to test with: none of %s is on the PATH, and %s names none", strings.Join(names, ", "), BrowserVariable)
}

// firefoxes are what the other browser is called; .ci/tools looks for the same.
var firefoxes = []string{"firefox-esr", "firefox"}

// Firefox returns the path of the Firefox that the tests drive.
func Firefox() (string, error) {
	if path := firstOf(firefoxes); path != "" {
		return path, nil
	}
	return "", fmt.Errorf("no Firefox to test with: none of %s is on the PATH", strings.Join(firefoxes, ", "))
}

// firstOf returns the path of the first program that is there, or "".
func firstOf(names []string) string {
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}
