package refcheck

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// The browser is the first of the list that is on the PATH, in the list's order,
// or the one that our variable names; the script that installs tools agrees.
func TestBrowser(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("programs are made here as scripts")
	}
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Fatal(err)
	}
	bin := t.TempDir()
	make := func(name string) string {
		path := filepath.Join(bin, name)
		if err := os.WriteFile(path, []byte("#!/bin/sh\n"), 0o755); err != nil {
			t.Fatal(err)
		}
		return path
	}
	t.Setenv("PATH", bin)
	t.Setenv(BrowserVariable, "")
	if path, err := Browser(); err == nil || !strings.Contains(err.Error(), "google-chrome") {
		t.Errorf("with no browser: %q, %v", path, err)
	}
	for _, name := range []string{"google-chrome", "chromium-browser", "chromium"} {
		want := make(name)
		if got, err := Browser(); got != want {
			t.Errorf("with %s: %q, %v", name, got, err)
		}
	}
	t.Setenv(BrowserVariable, make("another"))
	if got, err := Browser(); got != filepath.Join(bin, "another") {
		t.Errorf("with the variable set: %q, %v", got, err)
	}
	t.Setenv(BrowserVariable, filepath.Join(bin, "nothing"))
	if got, err := Browser(); err == nil {
		t.Errorf("the variable names nothing, and %q was found", got)
	}
	cmd := exec.Command(bash, filepath.Join(Root(t), ".ci", "tools"))
	cmd.Env = append(os.Environ(), "PATH="+os.Getenv("PATH")+":/usr/bin:/bin")
	if out, err := cmd.CombinedOutput(); err == nil || !strings.Contains(string(out), BrowserVariable) {
		t.Errorf(".ci/tools: %v, %s", err, out)
	}
}

// On a machine where something is missing that it may not install, the script
// says what, by this system's names, and fails; on macOS it speaks of Homebrew.
func TestToolsSayWhatIsMissing(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no bash")
	}
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Fatal(err)
	}
	for system, want := range map[string][]string{
		"Linux":  {"poppler-utils", "aubio-tools", "chromium"},
		"Darwin": {"poppler", "aubio", "Homebrew"},
	} {
		bin := t.TempDir()
		for name, text := range map[string]string{"uname": "echo " + system, "id": "echo 1000"} {
			if err := os.WriteFile(filepath.Join(bin, name), []byte("#!/bin/sh\n"+text+"\n"), 0o755); err != nil {
				t.Fatal(err)
			}
		}
		for _, name := range []string{"dirname", "sh"} {
			path, err := exec.LookPath(name)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(path, filepath.Join(bin, name)); err != nil {
				t.Fatal(err)
			}
		}
		cmd := exec.Command(bash, filepath.Join(Root(t), ".ci", "tools"))
		cmd.Env = []string{"PATH=" + bin}
		out, err := cmd.CombinedOutput()
		if err == nil {
			t.Errorf("%s: nothing was missing: %s", system, out)
		}
		for _, w := range want {
			if !strings.Contains(string(out), w) {
				t.Errorf("%s: %q isn't named: %s", system, w, out)
			}
		}
		if system == "Darwin" && strings.Contains(string(out), "apt") {
			t.Errorf("%s: it speaks of apt: %s", system, out)
		}
	}
}
