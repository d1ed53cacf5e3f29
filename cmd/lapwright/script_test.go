package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"lapwright/internal/take"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"lapwright": main})
}

// TestScripts drives the real program: each .txtar file under testdata/script
// holds commands, files, the expected output and the exit code.
func TestScripts(t *testing.T) {
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil || len(scripts) == 0 {
		t.Fatalf("no scripts found: %v", err)
	}
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("REFERENCE", filepath.Join(root, "third_party", "witness"))
			e.Setenv("NO_COLOR", "1")
			e.Setenv("ESC", "\x1b")
			e.Setenv("BELL", "\a")
			return nil
		},
		RequireExplicitExec: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exits": exits,
			"saved": saved,
		},
	})
}

// exits runs a program and checks its exit code: exits 2 lapwright rigs nothing
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE program [argument ...]")
	}
	got := "0"
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%s did not run: %v", args[1], err)
		}
		got = strconv.Itoa(exit.ExitCode())
	}
	if got != args[0] {
		ts.Fatalf("%v: exit code %s, want %s", args[1:], got, args[0])
	}
}

// saved makes a student's saved take of a recording and a tab: saved take.flac dawn.txt lap6-c6 wren.take.zip
func saved(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: saved TAKE.flac TAB.txt RIG OUT")
	}
	g, _ := rig.Builtin(args[2])
	t, _, err := tabtext.Parse([]byte(ts.ReadFile(args[1])), args[1], g)
	ts.Check(err)
	about, err := json.Marshal(report.SavedTake{
		Version: take.Version, Lesson: take.Digest(nil), Block: take.Digest(nil), Tab: take.Digest([]byte(tabtext.Format(t))),
		Rig: string(rig.Format(t.Rig)), Tuned: "equal", Speed: 100, Grade: "second", Day: "2026-11-30",
	})
	ts.Check(err)
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range []struct{ name, text string }{{"take.json", string(about)}, {"take.flac", ts.ReadFile(args[0])}} {
		w, err := z.Create(f.name)
		ts.Check(err)
		_, err = w.Write([]byte(f.text))
		ts.Check(err)
	}
	ts.Check(z.Close())
	ts.Check(os.WriteFile(ts.MkAbs(args[3]), out.Bytes(), 0o600))
}
