package lesson

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/abc/abctest"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
)

const short = "X:1\nT:Four Bars\nM:4/4\nL:1/4\nQ:1/4=180\nK:G\nGABd|d2B2|c/B/A GA|G4|]\n"

func rigs(t *testing.T, names ...string) []*rig.Rig {
	t.Helper()
	var out []*rig.Rig
	for _, n := range names {
		r := rigtest.Builtin(t, n)
		out = append(out, r)
	}
	return out
}

// made is one lesson that several tests look at.
var made = sync.OnceValues(func() (*Lesson, error) {
	tunes, _, err := abc.Read([]byte(short), "test.abc")
	if err != nil {
		return nil, err
	}
	a, _ := rig.Builtin("reso-open-g")
	b, _ := rig.Builtin("lap6-c6")
	return Make(context.Background(), Plan{Tune: tunes[0], Rigs: []*rig.Rig{a, b}, Words: "First paragraph\nof two lines.\n\n<script>alert(1)</script> & \"second\""}, nil)
})

func lesson(t *testing.T) *Lesson {
	t.Helper()
	l, err := made()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestLessonHoldsWhatItPromises(t *testing.T) {
	files, err := lesson(t).Files()
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, r := range []string{"reso-open-g", "lap6-c6"} {
		for _, f := range []string{"sheet.pdf", "sheet.svg", "tab.txt", "tell.txt", "tab.musicxml", "tab.mid", "audio.flac"} {
			want = append(want, r+"/"+f)
		}
	}
	want = append(want, "handout.pdf", "tune.abc", "index.html", "lesson.json")
	begins := map[string]string{".pdf": "%PDF-", ".svg": "<svg", ".mid": "MThd", ".flac": "fLaC", ".musicxml": "<?xml", ".abc": "X:", ".html": "<!doctype html>", ".json": "{"}
	var got []string
	for _, f := range files {
		got = append(got, f.Name)
		if b := begins[filepath.Ext(f.Name)]; !bytes.HasPrefix(f.Bytes, []byte(b)) {
			t.Errorf("%s begins with %q, want %q", f.Name, f.Bytes[:min(8, len(f.Bytes))], b)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("files\n%v, want\n%v", got, want)
	}
	var r report.Lesson
	if err := json.Unmarshal(files[len(files)-1].Bytes, &r); err != nil || r.Format != Format || len(r.Parts) != 2 || !slices.Equal(r.Files, want) {
		t.Errorf("lesson.json holds %+v, %v", r, err)
	}
	if p := r.Parts[0]; p.Key == "" || p.Tuning != "G2 B2 D3 G3 B3 D4" || p.Notes != 12 {
		t.Errorf("summary %+v", p)
	}
}

// TestPageNamesPitchesAsPrinted: a page writes the names of pitches and keys with the signs
// that its sheets and its script write, and what is no accidental as it stands.
func TestPageNamesPitchesAsPrinted(t *testing.T) {
	for _, c := range [][2]string{
		{"D2 A2 D3 F#3 A3 D4", "D2 A2 D3 F♯3 A3 D4"}, {"Bb1 Eb2", "B♭1 E♭2"}, {"F# minor", "F♯ minor"}, {"Bb", "B♭"}, {"F##2 Bbb3 F# C#", "F𝄪2 B𝄫3 F♯ C♯"},
		{"G2 B2 D3", "G2 B2 D3"}, {"Above", "Above"}, {"", ""},
	} {
		if got := pretty(c[0]); got != c[1] {
			t.Errorf("%q is printed %q, want %q", c[0], got, c[1])
		}
	}
	r, _ := rig.Builtin("tricone-open-d")
	l, err := Make(t.Context(), Plan{Tune: lesson(t).Tune, Rigs: []*rig.Rig{r}, Recordings: NoRecordings}, nil)
	if err != nil {
		t.Fatal(err)
	}
	page, err := l.Page(false)
	if err != nil {
		t.Fatal(err)
	}
	if row := regexp.MustCompile(`<dt>Tuning</dt><dd>([^<]*)</dd>`).FindStringSubmatch(lettered(string(page))); row == nil || row[1] != r.PrettyTuning() || !strings.Contains(row[1], "♯") {
		t.Errorf("the row of the tuning is %q, want %q", row, r.PrettyTuning())
	}
}

func TestPageNeedsNothingElse(t *testing.T) {
	page, err := lesson(t).Page(false)
	if err != nil {
		t.Fatal(err)
	}
	text := unpacked(t, string(page))
	bare := regexp.MustCompile(`(?s)<script.*?</script>`).ReplaceAllString(text, "")
	for _, m := range regexp.MustCompile(`\b(?:src|href)="([^"]*)"|\burl\("?([^")]*)`).FindAllStringSubmatch(bare, -1) {
		if to := m[1] + m[2]; !strings.HasPrefix(to, "#") && !strings.HasPrefix(to, "data:") {
			t.Errorf("the page refers to %.100q", to)
		}
	}
	for _, m := range regexp.MustCompile(`https?://[^"'\s<)]+`).FindAllString(text, -1) {
		if !strings.HasPrefix(m, "http://www.w3.org/") {
			t.Errorf("the page names %.100q", m)
		}
	}
	if n := strings.Count(text, "<svg"); n < 4 {
		t.Errorf("%d sheets are in the page, want a wide and a narrow one for each of two rigs", n)
	}
	if n := strings.Count(text, `<div hidden id="sound-`); n != 2 {
		t.Errorf("%d sounds are in the page, want 2", n)
	}
	// By itself it has the handout inside, all of it.
	_, pdf, _ := strings.Cut(text, `<a href="data:application/pdf;base64,`)
	pdf, _, _ = strings.Cut(pdf, `"`)
	if got, err := base64.StdEncoding.DecodeString(pdf); err != nil || !bytes.HasPrefix(got, []byte("%PDF-")) || !bytes.Equal(got, lesson(t).Handout()) {
		t.Errorf("the page holds %d bytes of a handout that has %d (%v)", len(got), len(lesson(t).Handout()), err)
	}
	beside, err := lesson(t).Page(true)
	if err != nil || !bytes.Contains(beside, []byte(`href="lap6-c6/sheet.pdf"`)) || bytes.Contains(beside, []byte("data:application/pdf")) {
		t.Errorf("the page beside its files does not link to them (%v)", err)
	}
}

func TestWordsCannotBecomeMarkup(t *testing.T) {
	tu := abctest.Tune(t, strings.Replace(short, "Four Bars", `</script><img src=x onerror=alert(1)> {{.Policy}}`, 1))
	l, err := Make(context.Background(), Plan{Tune: tu, Rigs: rigs(t, "lap6-c6"), Recordings: NoRecordings, Words: "</style><b>bold</b>"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	page, err := l.Page(true)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<img src=x", "<b>bold", "</style><b"} {
		if strings.Contains(unpacked(t, string(page)), bad) {
			t.Errorf("the page holds %q as markup", bad)
		}
	}
	// The core is carried in pieces of base64 alone.
	pieces := regexp.MustCompile(`<script type="text/plain">[A-Za-z0-9+/=]+</script>`)
	if n := len(pieces.FindAll(page, -1)); n < 10 {
		t.Errorf("the core is in %d pieces", n)
	}
	if n := bytes.Count(pieces.ReplaceAll(page, nil), []byte("</script>")); n != 5 {
		t.Errorf("%d scripts end in the page beside them, want the narrow sheet, the data, what the core is given, its worker and the page's script", n)
	}
}

func TestFolderIsWholeOrNotThere(t *testing.T) {
	l, dir := lesson(t), t.TempDir()
	out := filepath.Join(dir, "lesson")
	if err := l.WriteFolder(out); err != nil {
		t.Fatal(err)
	}
	if !IsLesson(out) {
		t.Error("the folder is not seen to be a lesson")
	}
	// A second lesson takes the first one's place, stale files and all.
	if err := os.WriteFile(filepath.Join(out, "lap6-c6", "sheet-2.svg"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := l.WriteFolder(out); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(out, "lap6-c6", "sheet-2.svg")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file of the earlier lesson is left: %v", err)
	}
	// Somebody's other folder is left alone.
	other := filepath.Join(dir, "photos")
	if err := os.MkdirAll(other, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(other, "a.jpg"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := l.WriteFolder(other); err == nil || !strings.Contains(err.Error(), "holds other things") {
		t.Errorf("a folder with other things gave %v", err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 {
		t.Errorf("%v is left, want the two folders (%v)", entries, err)
	}
}

func TestZipHoldsTheSameFiles(t *testing.T) {
	l := lesson(t)
	files, err := l.Files()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	at := time.Date(2026, 3, 2, 18, 30, 0, 0, time.UTC)
	if err := l.WriteZip(&b, "four-bars", at); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil || len(z.File) != len(files) {
		t.Fatalf("%d files, want %d (%v)", len(z.File), len(files), err)
	}
	for i, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(r)
		if err != nil || f.Name != "four-bars/"+files[i].Name || !bytes.Equal(got, files[i].Bytes) || !f.Modified.Equal(at) {
			t.Errorf("%s differs from %s (%v)", f.Name, files[i].Name, err)
		}
	}
}

func TestPlansThatCannotBeMade(t *testing.T) {
	tu := abctest.Tune(t, short)
	two := rigs(t, "lap6-c6", "lap6-c6")
	for name, p := range map[string]Plan{
		"no tune": {Rigs: two[:1]}, "no rig": {Tune: tu}, "a rig twice": {Tune: tu, Rigs: two},
		"too many rigs": {Tune: tu, Rigs: make([]*rig.Rig, MaxRigs+1)}, "long words": {Tune: tu, Rigs: two[:1], Words: strings.Repeat("x", MaxWords+1)},
		"bad words": {Tune: tu, Rigs: two[:1], Words: "\xff"}, "unknown paper": {Tune: tu, Rigs: two[:1], Sheet: sheet.Options{Paper: "stone"}},
	} {
		if l, err := Make(context.Background(), p, nil); err == nil || l != nil {
			t.Errorf("%s: got %v, %v", name, l, err)
		}
	}
}

func TestMakeStopsWhenAsked(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	l, err := Make(ctx, Plan{Tune: abctest.Tune(t, short), Rigs: rigs(t, "reso-open-g", "lap6-c6")}, func(done, total int, what string) {
		if done < 1 || done > total || total != 8 || what == "" {
			t.Errorf("told %d of %d, %q", done, total, what)
		}
		stop()
	})
	if !errors.Is(err, context.Canceled) || l != nil {
		t.Errorf("got %v, %v, want a cancelled lesson", l, err)
	}
}

func TestDemosAreThreeTunesThatEveryRigPlays(t *testing.T) {
	demos, err := Demos()
	if err != nil || len(demos) < 3 {
		t.Fatalf("%d demos, want three at least (%v)", len(demos), err)
	}
	for _, d := range demos {
		if d.Tune.Title == "" || !strings.Contains(d.ABC, "Harbour Street") {
			t.Errorf("%q has no title or does not say where it is from", d.Tune.Title)
		}
		for _, r := range rig.Builtins() {
			res, err := arrange.Arrange(t.Context(), d.Tune, r, arrange.Options{})
			if err != nil || len(res.Tab.Compromises) > 0 {
				t.Errorf("%s on %s: %v, %d compromises", d.Tune.Title, r.Name, err, len(res.Tab.Compromises))
			}
		}
	}
}

func BenchmarkThreeRigs(b *testing.B) {
	demos, err := Demos()
	if err != nil {
		b.Fatal(err)
	}
	var list []*rig.Rig
	for _, n := range []string{"reso-open-g", "tricone-open-d", "lap8-c13"} {
		r, _ := rig.Builtin(n)
		list = append(list, r)
	}
	for b.Loop() {
		if _, err := Make(context.Background(), Plan{Tune: demos[0].Tune, Rigs: list}, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// TestOneOfAThing: one bar is no bars (common practice, no source).
func TestOneOfAThing(t *testing.T) {
	got := about(&Lesson{Tune: abctest.Tune(t, "X:1\nT:One Bar\nM:4/4\nL:1/4\nK:G\nGABd|]\n")})
	if want := "4/4 time · 1 bar"; got != want {
		t.Errorf("the line under the title is %q, want %q", got, want)
	}
}
