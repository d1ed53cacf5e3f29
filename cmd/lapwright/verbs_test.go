package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"

	"lapwright/internal/guide"
)

// verbLacks says which verbs have no --json, no --out or no example, and why. A verb that
// is not listed has all three, so that a new one can't be forgotten.
var verbLacks = map[string]map[string]string{
	"serve":      {"json": "it listens until it is ended", "out": "the same", "example": "those it has would not end; TestDocumentsTellCommandsThatRun looks at them"},
	"export":     {"json": "it writes one file", "out": "its argument is the file"},
	"convert":    {"json": "check --json tells what is lost", "out": "its second argument is the file"},
	"import":     {"out": "it writes into the studio"},
	"restore":    {"out": "it writes the studio"},
	"check":      {"out": "it tells and makes nothing"},
	"rank":       {"out": "the same"},
	"tell":       {"out": "the same"},
	"grips":      {"out": "the same"},
	"tunings":    {"out": "the same"},
	"tension":    {"out": "the same"},
	"retune":     {"out": "the same"},
	"reach":      {"out": "the same"},
	"strings":    {"out": "the same"},
	"compare":    {"out": "the same"},
	"rigs":       {"out": "--text prints the rig's file"},
	"tune":       {"out": "--tones names its file"},
	"neck":       {"json": "grips, tunings and compare tell as JSON what it draws"},
	"help":       {"json": "it is for people", "out": "the same"},
	"completion": {"json": "shells read it", "out": "the same"},
	"manual":     {"json": "man reads it", "out": "the same"},
}

// verbElsewhere says of which verbs the examples are run by another test.
var verbElsewhere = map[string]string{
	"serve":   "cmd/lapwright/testdata/script and internal/web run it",
	"export":  "it wants a studio; the script studio.txtar runs it",
	"import":  "the same",
	"restore": "the same",
}

// madeBy is what --out is called for examples that write nothing; tab text else.
var madeBy = map[string]string{"review": "made", "lesson": "made", "hear": "made.wav"}

var (
	exampleLine  = regexp.MustCompile(`(?m)(?:^\s*|: |; )lapwright ([a-z]+(?: [^;\n]+)?)`)
	exampleWords = regexp.MustCompile(`"[^"]*"|\S+`)
)

// TestEveryVerbReports takes the program's own list of verbs: each has --json, --out and an
// example, or a reason why not; every command that its help shows runs, what it says as
// JSON is JSON, and what it is to write is there.
func TestEveryVerbReports(t *testing.T) {
	parser, err := kong.New(&commands{}, kong.Vars{"version": ""})
	if err != nil {
		t.Fatal(err)
	}
	workplace(t)
	prepare(t)
	verbs := guide.Verbs(parser.Model)
	for name := range verbLacks {
		if !slices.ContainsFunc(verbs, func(v *kong.Node) bool { return v.Name == name }) {
			t.Errorf("%q is excused and is no verb", name)
		}
	}
	commands := 0
	for _, v := range verbs {
		flag := func(name string) bool {
			return slices.ContainsFunc(v.Flags, func(f *kong.Flag) bool { return f.Name == name && !f.Hidden })
		}
		var examples []string
		for _, m := range exampleLine.FindAllStringSubmatch(v.Detail, -1) {
			line, _, _ := strings.Cut(m[1], " >") // into a file, by the shell
			line, _, _ = strings.Cut(line, " |")
			examples = append(examples, strings.TrimSpace(line))
		}
		own := slices.ContainsFunc(examples, func(e string) bool { return e == v.Name || strings.HasPrefix(e, v.Name+" ") })
		for what, has := range map[string]bool{"json": flag("json"), "out": flag("out"), "example": own && v.Name != "serve"} {
			if why := verbLacks[v.Name][what]; has == (why != "") {
				t.Errorf("%s: %s is there: %v; excused: %q", v.Name, what, has, why)
			}
		}
		if verbElsewhere[v.Name] != "" {
			continue
		}
		for _, e := range examples {
			if commands++; testing.Short() && slices.Contains([]string{"lesson", "hear", "review", "transcribe"}, v.Name) {
				continue // they sound the tune
			}
			words := exampleWords.FindAllString(e, -1)
			for i, w := range words {
				words[i] = strings.Trim(w, `"`)
			}
			runExample(t, words)
			if words[0] != v.Name {
				continue // another verb, which has its own turn
			}
			if flag("out") && !slices.ContainsFunc(words, func(w string) bool { return w == "--out" || w == "-o" }) {
				out := madeBy[v.Name]
				if out == "" {
					out = "made.txt"
				}
				words = append(words, "--out", out)
				runExample(t, words)
			}
			if flag("json") && !slices.Contains(words, "--text") {
				if !slices.Contains(words, "--json") {
					words = append(words, "--json")
				}
				printed := runExample(t, words)
				if !json.Valid([]byte(printed)) || len(printed) < 3 {
					t.Errorf("%q prints no JSON: %.200q", words, printed)
				}
			}
		}
	}
	if commands < len(verbs) {
		t.Errorf("%d examples of %d verbs: the test doesn't see them", commands, len(verbs))
	}
	t.Logf("%d verbs, %d examples", len(verbs), commands)
}

// runExample gives a command, holds that it ends well and that the file it names for --out
// is new and holds something, and returns what it printed.
func runExample(t *testing.T, words []string) string {
	t.Helper()
	out := ""
	if i := slices.IndexFunc(words, func(w string) bool { return w == "--out" || w == "-o" }); i >= 0 && i+1 < len(words) {
		out = words[i+1]
		if err := os.RemoveAll(out); err != nil {
			t.Fatal(err)
		}
	}
	code, printed, complaint := ran(t, words...)
	if code != 0 {
		t.Errorf("%q ends with %d: %s", words, code, complaint)
		return printed
	}
	if out != "" {
		// Pages of a picture are numbered, a folder holds files.
		made, _ := filepath.Glob(strings.TrimSuffix(strings.TrimSuffix(out, "/"), filepath.Ext(out)) + "*")
		if !slices.ContainsFunc(made, func(path string) bool {
			info, err := os.Stat(path)
			return err == nil && (info.IsDir() || info.Size() > 0)
		}) {
			t.Errorf("%q writes no %s", words, out)
		}
	}
	return printed
}

// prepare makes what the examples name: a tune, a book, a tab, a part and a take.
func prepare(t *testing.T) {
	t.Helper()
	waltz := "T:Four Bars at the Quay\nR:waltz\nM:3/4\nL:1/4\nQ:1/4=180\nK:G\n\"G\"GBd|\"D7\"cBA|\"G\"Bdg|\"G\"G3|]\n"
	book := ""
	for i := range 3 {
		book += fmt.Sprintf("X:%d\n%s\n", i+1, waltz)
	}
	for name, music := range map[string]string{"waltz.abc": "X:1\n" + waltz, "waltzes.abc": book} {
		if err := os.WriteFile(name, []byte(music), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, words := range [][]string{
		{"arrange", "waltz.abc", "--rig", "reso-open-g", "--out", "waltz.txt"},
		{"accompany", "waltz.abc", "--out", "backup.txt"},
		{"hear", "waltz.abc", "--rig", "reso-open-g", "--key", "G", "--out", "take.wav"},
	} {
		if code, _, complaint := ran(t, words...); code != 0 {
			t.Fatalf("%q ends with %d: %s", words, code, complaint)
		}
	}
}
