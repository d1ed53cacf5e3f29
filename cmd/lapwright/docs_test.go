package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/internal/guide"
	"lapwright/rig"
	"lapwright/sound/opus"
)

// repository is the root of the clone; tests run in their package's folder.
var repository = func() string {
	dir, err := filepath.Abs("../..")
	if err != nil {
		panic(err)
	}
	return dir
}()

// documents returns what we wrote for people, by its path below the root.
func documents(t *testing.T) map[string]string {
	t.Helper()
	out := map[string]string{}
	read := func(path string) {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		rel, _ := filepath.Rel(repository, path)
		out[filepath.ToSlash(rel)] = string(b)
	}
	for _, name := range []string{"README.md", "CHANGELOG.md", "CONTRIBUTING.md", "SECURITY.md"} {
		read(filepath.Join(repository, name))
	}
	err := filepath.WalkDir(filepath.Join(repository, "docs"), func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".md") {
			read(path)
		}
		return err
	})
	if err != nil || len(out) < 12 {
		t.Fatalf("%d documents: %v", len(out), err)
	}
	return out
}

// told is one command that a document tells, with what it says is printed.
type told struct {
	where, line, shown string
}

var (
	inline = regexp.MustCompile("`([^`\n]+)`")
	fenced = regexp.MustCompile("(?ms)^```[a-z]*\n(.*?)^```")
)

// commandsOf finds what looks like a command: in backquotes, or a line of its own
// in a fenced block, where what follows it is what it prints.
func commandsOf(name, text string) []told {
	var out []told
	for _, m := range fenced.FindAllStringSubmatchIndex(text, -1) {
		lines := strings.Split(text[m[2]:m[3]], "\n")
		for i, l := range lines {
			cmd, prompt := strings.CutPrefix(l, "$ ")
			if isCommand(cmd) {
				k := told{fmt.Sprintf("%s:%d", name, 1+i+strings.Count(text[:m[2]], "\n")), cmd, ""}
				if prompt {
					k.shown = strings.Join(lines[i+1:], "\n")
				}
				out = append(out, k)
			}
		}
	}
	// Blank the fences out, keeping the lines.
	plain := fenced.ReplaceAllStringFunc(text, func(s string) string { return strings.Repeat("\n", strings.Count(s, "\n")) })
	for _, m := range inline.FindAllStringSubmatchIndex(plain, -1) {
		if cmd := plain[m[2]:m[3]]; isCommand(cmd) {
			out = append(out, told{fmt.Sprintf("%s:%d", name, 1+strings.Count(plain[:m[2]], "\n")), cmd, ""})
		}
	}
	return out
}

func isCommand(s string) bool {
	first, _, _ := strings.Cut(s, " ")
	return slices.Contains([]string{"lapwright", "./lapwright", "make", "go", ".ci/run", ".ci/tools"}, first)
}

// notRun are the commands that the test doesn't run whole, by their beginning,
// and why. Their verbs and flags are checked all the same.
var notRun = map[string]string{
	"lapwright serve":               "it listens until it is ended; cmd/lapwright/testdata/script and internal/web run it",
	"lapwright import":              "it would change a studio; the script studio.txtar runs it",
	"lapwright export":              "the same",
	"lapwright restore":             "the same",
	"lapwright review TAKE":         "it wants a recording; the script review.txtar runs it",
	"lapwright transcribe TAKE":     "the same",
	"lapwright tune RIG --listen":   "the same",
	"lapwright completion":          "the script completion.txtar runs it in the shells",
	"lapwright arrange tune.abc":    "docs/arranging.md has a tune for each; TestArrangingDocument runs it",
	"lapwright accompany tune.abc":  "the same",
	"lapwright arrange harbour.abc": "TestDocumentsShowWhatIsPrinted runs it",
}

// stands fills in the words that stand for something, by verb where they differ.
var stands = map[string]string{
	"FILE": "slack-water.abc", "rigs FILE": "own.toml", "--timing FILE": "timing.json", "NAME": "reso-open-g", "N": "1", "WANTED": "A7", "STRINGS": "1:5,2:5,3:5",
	"DIR": "out", "VERB": "hear",
}

// workplace goes to a folder that has the files which the documents name.
func workplace(t *testing.T) {
	t.Helper()
	t.Chdir(t.TempDir())
	// No command that the documents tell comes near a studio of who runs the test.
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	t.Setenv("HOME", t.TempDir())
	demos, err := filepath.Glob(filepath.Join(repository, "internal", "lesson", "demo", "*.abc"))
	if err != nil || len(demos) == 0 {
		t.Fatalf("no demo tunes: %v", err)
	}
	own, ok := rig.BuiltinSource("lap6-c6")
	if !ok {
		t.Fatal("there is no lap6-c6")
	}
	files := map[string][]byte{"own.toml": own, "harbour.abc": []byte("X:1\nT:Two notes at the quay\nM:4/4\nL:1/2\nK:D\nF, D,|\n")}
	for _, path := range demos {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files[filepath.Base(path)] = b
		files[filepath.Join("internal", "lesson", "demo", filepath.Base(path))] = b
	}
	for name, b := range files {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// ran runs the program and gives its exit code and what it printed.
func ran(t *testing.T, args ...string) (code int, printed, complained string) {
	t.Helper()
	var files [2]*os.File
	for i := range files {
		f, err := os.CreateTemp(t.TempDir(), "out")
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		files[i] = f
	}
	code = run(args, files[0], files[1])
	var texts [2]string
	for i, f := range files {
		b, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		texts[i] = string(b)
	}
	return code, texts[0], texts[1]
}

// Every command that a document tells is one: make's targets are in the
// Makefile, go's packages and tests are there, our verbs and flags exist, and a
// command that is whole runs.
func TestDocumentsTellCommandsThatRun(t *testing.T) {
	docs := documents(t)
	makefile, err := os.ReadFile(filepath.Join(repository, "Makefile"))
	if err != nil {
		t.Fatal(err)
	}
	workplace(t)
	tried, runs := 0, 0
	for _, name := range slices.Sorted(maps.Keys(docs)) {
		for _, k := range commandsOf(name, docs[name]) {
			tried++
			words := strings.Fields(k.line)
			switch words[0] {
			case "make":
				for _, w := range words[1:] {
					if !strings.Contains(w, "=") && !regexp.MustCompile(`(?m)^`+regexp.QuoteMeta(w)+`:`).Match(makefile) {
						t.Errorf("%s: `%s`: the Makefile has no %s", k.where, k.line, w)
					}
				}
			case "go":
				goCommand(t, k, words)
			case ".ci/run", ".ci/tools":
			default:
				if ours(t, k, words[1:]) {
					runs++
				}
			}
		}
	}
	if tried < 50 || runs < 8 {
		t.Errorf("the documents tell %d commands, %d of them whole: the test doesn't see them", tried, runs)
	}
	t.Logf("%d commands told, %d run", tried, runs)
	readmeLesson(t, docs)
}

// goCommand checks that the packages of a go command are there, and the tests
// and benchmarks that it names.
func goCommand(t *testing.T, k told, words []string) {
	t.Helper()
	var folders []string
	patterns := map[string]string{}
	for i, w := range words {
		switch {
		case w == "-run" || w == "-bench":
			patterns[w] = strings.Trim(words[i+1], "'")
		case strings.HasPrefix(w, "lapwright/"):
			folders = append(folders, strings.TrimPrefix(w, "lapwright/"))
		case strings.HasPrefix(w, "./") && words[max(0, i-1)] != "-o":
			folders = append(folders, strings.TrimSuffix(w, "/..."))
		}
	}
	if words[1] == "mod" {
		return // docs/library.md: internal/outside carries that page out
	}
	if len(folders) == 0 {
		t.Errorf("%s: `%s` names no package", k.where, k.line)
	}
	for _, folder := range folders {
		sources, err := filepath.Glob(filepath.Join(repository, folder, "*.go"))
		if err != nil || len(sources) == 0 && folder != "." {
			t.Errorf("%s: `%s`: there is no package %s", k.where, k.line, folder)
			continue
		}
		var all bytes.Buffer
		for _, f := range sources {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			all.Write(b)
		}
		for flag, kind := range map[string]string{"-run": "Test", "-bench": "Benchmark"} {
			p := patterns[flag]
			if p == "" || slices.Contains([]string{"^$", "-", "xx", "xxx", "none"}, p) {
				continue // none is to run
			}
			named := regexp.MustCompile(strings.Split(p, "/")[0]) // what follows names a subtest
			found := false
			for _, m := range regexp.MustCompile(`(?m)^func (`+kind+`\w+)\(`).FindAllSubmatch(all.Bytes(), -1) {
				found = found || named.Match(m[1])
			}
			if !found {
				t.Errorf("%s: `%s`: no %s in %s is called so", k.where, k.line, kind, folder)
			}
		}
	}
}

// ours checks one of our own commands, and runs it when it is whole. It reports
// whether it ran.
func ours(t *testing.T, k told, args []string) bool {
	t.Helper()
	if len(args) == 0 {
		return false // the program's name alone opens the workbench
	}
	verb := args[0]
	if strings.HasPrefix(verb, "-") {
		verb = "serve"
	}
	code, help, complaint := ran(t, verb, "--help")
	if code != 0 {
		t.Errorf("%s: `%s`: %s", k.where, k.line, complaint)
		return false
	}
	for _, a := range args {
		if flag, _, _ := strings.Cut(a, "="); strings.HasPrefix(a, "--") && !regexp.MustCompile(regexp.QuoteMeta(flag)+`\b`).MatchString(help) {
			t.Errorf("%s: `%s`: %s has no %s", k.where, k.line, verb, flag)
		}
	}
	line := strings.TrimPrefix(k.line, "./")
	for begin := range notRun {
		if strings.HasPrefix(line, begin) {
			return false
		}
	}
	if len(args) == 1 && verb != "rigs" && verb != "tunings" && !strings.HasPrefix(args[0], "-") {
		return false // the verb is only spoken of
	}
	filled := filledIn(args)
	code, _, complaint = ran(t, filled...)
	part := len(args) > 1 && strings.HasPrefix(args[1], "-") && (strings.Contains(complaint, "expected \"<") || strings.Contains(complaint, "missing") || strings.Contains(complaint, `: "" is`))
	if code != 0 && !part {
		t.Errorf("%s: `%s` ends with %d: %s", k.where, k.line, code, complaint)
	}
	return !part
}

// filledIn puts real words in the place of those that stand for some.
func filledIn(args []string) []string {
	out := slices.Clone(args)
	for i, a := range args {
		a = strings.Trim(a, `"`)
		out[i] = a
		for _, key := range []string{a, args[0] + " " + a, args[max(0, i-1)] + " " + a} {
			if v := stands[key]; v != "" {
				out[i] = v
			}
		}
	}
	return out
}

// What a document shows as printed is what is printed: a JSON example may leave
// things out ("…") but has nothing that isn't there.
func TestDocumentsShowWhatIsPrinted(t *testing.T) {
	docs := documents(t)
	workplace(t)
	shown := 0
	for name, text := range docs {
		for _, k := range commandsOf(name, text) {
			if strings.TrimSpace(k.shown) == "" {
				continue
			}
			code, printed, complaint := ran(t, filledIn(strings.Fields(k.line)[1:])...)
			if code != 0 {
				t.Errorf("%s: `%s` ends with %d: %s", k.where, k.line, code, complaint)
				continue
			}
			if strings.HasPrefix(strings.TrimSpace(k.shown), "{") {
				shown++
				compare(t, k.where, k.shown, printed)
			} else if shown++; !strings.Contains(printed, strings.TrimSpace(k.shown)) {
				t.Errorf("%s: `%s` prints\n%s\nwhere the document shows\n%s", k.where, k.line, printed, k.shown)
			}
		}
	}
	if shown == 0 {
		t.Error("no examples: the test doesn't see them")
	}
}

// compare reports what of a JSON example isn't in what was printed.
func compare(t *testing.T, where, example, printed string) {
	t.Helper()
	var want, got any
	example = regexp.MustCompile(`,?\s*…\s*([\]}])`).ReplaceAllString(example, "$1")
	if err := json.Unmarshal([]byte(example), &want); err != nil {
		t.Errorf("%s: the example is no JSON: %v", where, err)
	} else if err := json.Unmarshal([]byte(printed), &got); err != nil {
		t.Errorf("%s: what is printed is no JSON: %v", where, err)
	} else if why := within(want, got, ""); why != "" {
		t.Errorf("%s: %s", where, why)
	}
}

// within says what of an example is not in what was printed, or "". A list's
// items must come in the same order, from the first.
func within(want, got any, at string) string {
	switch want := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			return fmt.Sprintf("%s: an object is shown, %v is printed", at, got)
		}
		for _, k := range slices.Sorted(maps.Keys(want)) {
			v, ok := g[k]
			if !ok {
				return fmt.Sprintf("%s.%s is shown and not printed", at, k)
			}
			if why := within(want[k], v, at+"."+k); why != "" {
				return why
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) < len(want) {
			return fmt.Sprintf("%s: %d items are shown, %v is printed", at, len(want), got)
		}
		for i := range want {
			if why := within(want[i], g[i], at+"["+strconv.Itoa(i)+"]"); why != "" {
				return why
			}
		}
	default:
		if want != got && want != "…" {
			return fmt.Sprintf("%s: %v is shown, %v is printed", at, want, got)
		}
	}
	return ""
}

// Figures that documents give of what comes with the program, or of what it
// makes, are those of the program.
func TestFiguresInDocuments(t *testing.T) {
	docs := documents(t)
	demos, err := filepath.Glob(filepath.Join(repository, "internal", "lesson", "demo", "*.abc"))
	if err != nil {
		t.Fatal(err)
	}
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	if want := "with " + words[len(demos)] + " tunes to begin with"; !strings.Contains(docs["README.md"], want) {
		t.Errorf("README.md doesn't say %q", want)
	}
	if want := strings.ToUpper(words[len(demos)][:1]) + words[len(demos)][1:] + " tunes and a lesson of the Harbour Street evening class"; !strings.Contains(docs["CHANGELOG.md"], want) {
		t.Errorf("CHANGELOG.md doesn't say %q", want)
	}
	if want := fmt.Sprintf("%d kbit/s a channel", opus.Bits/1000); !strings.Contains(docs["docs/sound.md"], want) {
		t.Errorf("docs/sound.md doesn't say %q", want)
	}
	if want := fmt.Sprintf("(%d kbit/s Opus)", 2*opus.Bits/1000); !strings.Contains(docs["docs/performance.md"], want) {
		t.Errorf("docs/performance.md doesn't say %q", want)
	}
}

// readmeLesson holds what documents say of the lesson that the README makes: its
// record, and the size of its page within a twentieth, as figures are rounded
// and sheets differ a little between versions.
func readmeLesson(t *testing.T, docs map[string]string) {
	t.Helper()
	record, err := os.ReadFile(filepath.Join("lesson", "lesson.json"))
	if err != nil {
		t.Fatalf("the README's commands make no lesson: %v", err)
	}
	found := false
	for _, m := range fenced.FindAllStringSubmatch(docs["docs/formats/lesson.md"], -1) {
		if strings.HasPrefix(m[1], "{") {
			found = true
			compare(t, "docs/formats/lesson.md", m[1], string(record))
		}
	}
	if !found {
		t.Error("docs/formats/lesson.md shows no record")
	}
	m := regexp.MustCompile(`\| its page, one file with sheets and sound inside \| ([0-9.]+) MB, of which ([0-9.]+) MB is sound`).FindStringSubmatch(docs["docs/performance.md"])
	if m == nil {
		t.Fatal("docs/performance.md gives no size of the page")
	}
	page, err := os.ReadFile(filepath.Join("lesson", "index.html"))
	if err != nil {
		t.Fatal(err)
	}
	page = bytes.ReplaceAll(page, []byte(`</script><script type="text/plain">`), nil) // what is carried is in pieces
	sound := 0
	for _, s := range regexp.MustCompile(`T2dnUw[A-Za-z0-9+/=]+`).FindAll(page, -1) { // "OggS" in base 64
		sound += len(s)
	}
	for i, is := range []int{len(page), sound} {
		says, err := strconv.ParseFloat(m[1+i], 64)
		if err != nil {
			t.Fatal(err)
		}
		if mb := float64(is) / 1e6; says < 0.95*mb || says > 1.05*mb {
			t.Errorf("docs/performance.md: %g MB, and it is %.2f MB", says, mb)
		}
	}
}

// The manual and docs/environment.md tell the same codes and variables, in the
// same words.
func TestEnvironmentDocument(t *testing.T) {
	text := strings.ReplaceAll(documents(t)["docs/environment.md"], "`", "")
	for _, e := range slices.Concat(guide.ExitCodes, guide.Variables) {
		if want := fmt.Sprintf("| %s | %s |", e.Name, e.About); !strings.Contains(text, want) {
			t.Errorf("docs/environment.md has no line %q", want)
		}
	}
	// Every variable that the program asks for is listed.
	asks := regexp.MustCompile(`(?:os\.(?:Getenv|LookupEnv)\(|env:)"([A-Z_]+)"`)
	seen := 0
	err := filepath.WalkDir(repository, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git") {
			return fs.SkipDir
		}
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		b, err := os.ReadFile(path)
		for _, m := range asks.FindAllSubmatch(b, -1) {
			seen++
			if !regexp.MustCompile(`(?m)^\|[^|]*\b` + string(m[1]) + `\b[^|]*\|`).MatchString(text) {
				t.Errorf("%s asks for %s, which docs/environment.md doesn't list", path, m[1])
			}
		}
		return err
	})
	if err != nil || seen < 5 {
		t.Errorf("%d variables asked for: %v", seen, err)
	}
}
