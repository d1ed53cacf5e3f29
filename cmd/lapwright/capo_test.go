package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"lapwright/internal/console"
	"lapwright/internal/studio"
	"lapwright/internal/web"
	"lapwright/rig"
)

// lapwright runs the program in this process and gives what it printed.
func lapwright(t *testing.T, args ...string) string {
	t.Helper()
	t.Setenv("NO_COLOR", "1")
	dir := t.TempDir()
	var files [2]*os.File
	for i := range files {
		f, err := os.Create(filepath.Join(dir, fmt.Sprint(i)))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		files[i] = f
	}
	code := run(args, files[0], files[1])
	out, err := os.ReadFile(files[0].Name())
	if err != nil {
		t.Fatal(err)
	}
	if code != console.ExitDone {
		said, _ := os.ReadFile(files[1].Name())
		t.Fatalf("lapwright %v: exit code %d\n%s%s", args, code, out, said)
	}
	return string(out)
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Open D, and what its strings sound with the capo at 5: a fourth higher, which
// is open G (common practice, no source).
const (
	openD     = "D2 A2 D3 F#3 A3 D4"
	atTheCapo = "G2 D3 G3 B3 D4 G4"
)

// capoAt5 finds where a text says that the capo is at 5.
var capoAt5 = regexp.MustCompile(`(?is)capo( is)?( at)?( fret)? 5\b|capo(at)?\W[^0-9]{0,40}5\b`)

// Whatever tells the tuning of a tab that is played with the capo at 5 tells
// what to turn the pegs to, and where the capo goes. Who tuned to the notes at
// the capo would raise every string a fourth.
func TestTuningWithACapo(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	tuneText := "X:1\nT:Low Tide\nM:4/4\nL:1/4\nK:G\nG A B d | d B A G |]\n"
	if err := os.WriteFile(in("tide.abc"), []byte(tuneText), 0o644); err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("bender-open-d")
	at5, err := r.WithCapo(5)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("at5.toml"), rig.Format(at5), 0o644); err != nil {
		t.Fatal(err)
	}
	on := []string{in("tide.abc"), "--rig", "bender-open-d", "--capo", "5"}
	with := func(verb string, more ...string) string {
		return lapwright(t, append(append([]string{verb}, on...), more...)...)
	}
	told := map[string]string{}
	// These are about turning pegs, which is done with the capo off: they name
	// pitches string by string and need not say where it goes.
	pegs := map[string]bool{}
	for _, what := range []string{"tune", "tension --json", "reach", "retune", "retune --json", "/rigs/RIG/strings"} {
		pegs[what] = true
	}
	told["arrange"] = with("arrange")
	told["arrange --json"] = with("arrange", "--json")
	told["tell"] = with("tell")
	with("sheet", "--out", in("sheet.svg"))
	told["sheet"] = readFile(t, in("sheet.svg"))
	told["convert to text"] = lapwright(t, "convert", in("tide.abc"), in("tide.txt"), "--rig", "bender-open-d", "--capo", "5") + readFile(t, in("tide.txt"))
	told["transfer"] = lapwright(t, "transfer", in("tide.abc"), "--to", "bender-open-d", "--capo", "5")
	told["transfer --json"] = lapwright(t, "transfer", in("tide.abc"), "--to", "bender-open-d", "--capo", "5", "--json")
	told["transfer from"] = lapwright(t, "transfer", in("tide.txt"), "--from", "bender-open-d", "--to", "bender-open-d", "--capo", "5")
	told["lesson"] = with("lesson", "--out", in("lesson"))
	for _, f := range []string{"index.html", "lesson.json", "bender-open-d/sheet.svg", "bender-open-d/tab.txt"} {
		told["lesson "+f] = readFile(t, filepath.Join(in("lesson"), f))
	}
	lapwright(t, "neck", "bender-open-d", "--capo", "5", "--tuning", "--out", in("card.svg"))
	told["neck --tuning"] = readFile(t, in("card.svg"))
	told["grips"] = lapwright(t, "grips", "G", "--rig", "bender-open-d", "--capo", "5")
	for _, verb := range []string{"rigs", "tune"} {
		told[verb] = lapwright(t, verb, in("at5.toml"))
		told[verb+" --json"] = lapwright(t, verb, in("at5.toml"), "--json")
	}
	told["tension --json"] = lapwright(t, "tension", in("at5.toml"), "--json")
	told["reach"] = lapwright(t, "reach", in("at5.toml"))
	told["retune"] = lapwright(t, "retune", in("at5.toml"), "D2 A2 D3 G3 A3 D4")
	told["retune --json"] = lapwright(t, "retune", in("at5.toml"), "D2 A2 D3 G3 A3 D4", "--json")
	for page, text := range pagesWithCapo(t, tuneText, string(rig.Format(at5))) {
		told[page] = text
	}
	for what, text := range told {
		text = strings.NewReplacer("♯", "#", "♭", "b", "&#34;", `"`).Replace(text)
		flat := strings.Join(strings.Fields(text), " ") // lines that were wrapped
		if !pegs[what] && !strings.Contains(flat, openD) {
			t.Errorf("%s does not tell the tuning %s:\n%.1500s", what, openD, text)
		}
		if strings.Contains(flat, atTheCapo) {
			t.Errorf("%s tells %s, the notes at the capo, as the tuning:\n%.1500s", what, atTheCapo, text)
		}
		if !pegs[what] && !capoAt5.MatchString(text) {
			t.Errorf("%s does not say that the capo is at 5:\n%.1500s", what, text)
		}
	}
	// The table of what to tune to names each string by what its peg is turned to.
	if !regexp.MustCompile(`(?m)^\s*6\s+D2\b`).MatchString(told["tune"]) {
		t.Errorf("tune does not tune string 6 to D2:\n%s", told["tune"])
	}
}

// A tab with a capo comes back from tab text and MusicXML as it was.
func TestCapoComesBack(t *testing.T) {
	dir := t.TempDir()
	in := func(name string) string { return filepath.Join(dir, name) }
	if err := os.WriteFile(in("tide.abc"), []byte("X:1\nT:Low Tide\nM:4/4\nL:1/4\nK:G\nG A B d | d B A G |]\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	lapwright(t, "convert", in("tide.abc"), in("first.txt"), "--rig", "bender-open-d", "--capo", "5")
	lapwright(t, "convert", in("first.txt"), in("mid.musicxml"), "--rig", "bender-open-d")
	lapwright(t, "convert", in("first.txt"), in("second.txt"), "--rig", "bender-open-d")
	lapwright(t, "convert", in("mid.musicxml"), in("third.txt"), "--rig", "bender-open-d")
	first := readFile(t, in("first.txt"))
	if second := readFile(t, in("second.txt")); second != first {
		t.Errorf("tab text comes back as\n%s\nand was\n%s", second, first)
	}
	stringLines := regexp.MustCompile(`(?m)^(tuning|capo|\d [A-G]).*$`)
	want := strings.Join(stringLines.FindAllString(first, -1), "\n")
	if got := strings.Join(stringLines.FindAllString(readFile(t, in("third.txt")), -1), "\n"); got != want {
		t.Errorf("through MusicXML the tab is\n%s\nand was\n%s", got, want)
	}
	// musicxml.xsd of MusicXML 4.0, staff-tuning: "the open, non-capo tuning of the lines on a tablature staff".
	xml := readFile(t, in("mid.musicxml"))
	for line, want := range []string{"D2", "A2", "D3", "F1 3", "A3", "D4"} {
		step, octave := want[:1], want[len(want)-1:]
		pattern := fmt.Sprintf(`<staff-tuning line="%d">\s*<tuning-step>%s</tuning-step>\s*(<tuning-alter>1</tuning-alter>\s*)?<tuning-octave>%s<`, line+1, step, octave)
		if !regexp.MustCompile(pattern).MatchString(xml) {
			t.Errorf("line %d of the staff is not tuned to %s", line+1, want)
		}
	}
	if !regexp.MustCompile(`<capo>5</capo>`).MatchString(xml) {
		t.Error("the score names no capo at 5")
	}
}

// pagesWithCapo returns what the workbench answers about a tune that is placed
// with the capo at 5, and about a rig whose capo is there.
func pagesWithCapo(t *testing.T, tuneText, rigText string) map[string]string {
	t.Helper()
	ctx := context.Background()
	st, err := studio.Open(ctx, t.TempDir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	wishes := `{"rig":"bender-open-d","wishes":{"bender-open-d":{"capo":5}}}`
	tune, err := st.Add(ctx, studio.Tune, studio.Content{Title: "Low Tide", Body: tuneText, Extra: json.RawMessage(wishes)}, false)
	if err != nil {
		t.Fatal(err)
	}
	own, err := st.Add(ctx, studio.Rig, studio.Content{Title: "Capo at five", Body: rigText}, false)
	if err != nil {
		t.Fatal(err)
	}
	site, err := web.New(ctx, st, web.Options{})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(site.Handler())
	t.Cleanup(server.Close)
	out := map[string]string{}
	for _, page := range []string{
		"/tunes/" + tune.ID + "/shown?rig=bender-open-d", "/tunes/" + tune.ID + "/words?rig=bender-open-d",
		"/tunes/" + tune.ID + "/file/tab.txt?rig=bender-open-d", "/tunes/" + tune.ID + "/file/sheet.svg?rig=bender-open-d",
		"/rigs", "/rigs/" + own.ID, "/rigs/" + own.ID + "/pegs", "/rigs/" + own.ID + "/retune",
		"/rigs/" + own.ID + "/strings", "/rigs/" + own.ID + "/card/tuning.svg",
	} {
		res, err := http.Get(server.URL + page)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(res.Body)
		res.Body.Close()
		if err != nil || res.StatusCode != http.StatusOK {
			t.Errorf("%s: %s %v\n%.300s", page, res.Status, err, body)
			continue
		}
		out[strings.NewReplacer(tune.ID, "TUNE", own.ID, "RIG").Replace(page)] = string(body)
	}
	return out
}
