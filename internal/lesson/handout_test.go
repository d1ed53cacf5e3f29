package lesson

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc/abctest"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// TestWordsAreCommonMark: a teacher's line breaks, lists and stress come through,
// and nothing that runs does. The cases are of CommonMark 0.31.2 (spec.commonmark.org):
// examples 350 (stress), 378 (strong), 301 (lists), 79 (headings, one level down here);
// the refusal of raw HTML is the renderer's own safe mode.
func TestWordsAreCommonMark(t *testing.T) {
	for words, want := range map[string]string{
		"*foo bar*":                     "<p><em>foo bar</em></p>\n",
		"**foo bar**":                   "<p><strong>foo bar</strong></p>\n",
		"- foo\n- bar\n+ baz":           "<ul>\n<li>foo</li>\n<li>bar</li>\n</ul>\n<ul>\n<li>baz</li>\n</ul>\n",
		"one\ntwo":                      "<p>one<br>\ntwo</p>\n",
		"# foo":                         "<h2>foo</h2>\n",
		"a <b onclick=x>b</b> c":        "<p>a <!-- raw HTML omitted -->b<!-- raw HTML omitted --> c</p>\n",
		"<script>x()</script>":          "<!-- raw HTML omitted -->\n",
		"[here](javascript:alert(1))":   "<p><a href=\"\">here</a></p>\n",
		"![the *bar*](https://x/y.png)": "<p>the <em>bar</em></p>\n",
		"  \n":                          "",
	} {
		got, err := WordsHTML(words)
		if err != nil || string(got) != want {
			t.Errorf("%q gives %q, %v, want %q", words, got, err, want)
		}
	}
}

// TestScriptComesBeforeTheSounds: on a slow line the page is shown and moves while
// its megabytes of sound are still on their way.
func TestScriptComesBeforeTheSounds(t *testing.T) {
	page, err := lesson(t).Page(false)
	if err != nil {
		t.Fatal(err)
	}
	text := string(page)
	script := strings.Index(text, "<script>")
	sound := strings.Index(text, `id="sound-0"`)
	if script < 0 || sound < 0 || script > sound {
		t.Errorf("the script stands at %d, the first sound at %d", script, sound)
	}
	// A module would wait for the end all the same (HTML, 4.12.1: module scripts are deferred).
	if strings.Contains(text, `type="module"`) {
		t.Error("the script is a module")
	}
}

// TestHandout: one PDF, the words first with lines for name and date, then the
// sheet of each instrument, the pages numbered through, on the paper that was chosen.
// What is on it is read by Poppler.
func TestHandout(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	c, _ := rig.Builtin("lap6-c6")
	demos, err := Demos()
	if err != nil {
		t.Fatal(err)
	}
	short := slices.MinFunc(demos, func(a, b Demo) int { return len(a.Tune.Bars) - len(b.Tune.Bars) })
	for paper, size := range map[draw.Paper]string{draw.A4: "595.28 x 841.89", draw.Letter: "612 x 792"} {
		made, err := Make(context.Background(), Plan{
			Tune: short.Tune, Rigs: []*rig.Rig{g, c}, Recordings: NoRecordings, Title: "First lesson", Sheet: sheet.Options{Paper: paper},
			Words: "Watch the **second** bar.\nThen rest.\n\n1. slowly\n2. in time\n",
		}, nil)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "handout.pdf")
		if err := os.WriteFile(file, made.Handout(), 0o600); err != nil {
			t.Fatal(err)
		}
		info := poppler(t, "pdfinfo", file)
		if !strings.Contains(info, size) {
			t.Errorf("%s: the paper is not %s:\n%s", paper, size, info)
		}
		pages := strings.Split(strings.TrimSuffix(poppler(t, "pdftotext", "-layout", file, "-"), "\f"), "\f")
		if len(pages) != 2 {
			t.Fatalf("%s: %d pages, want short words and the first sheet on one, and one for the second", paper, len(pages))
		}
		if !regexp.MustCompile(`(?s)Name.*Date.*First lesson.*Watch the second bar\.\n+Then rest\..*1\. +slowly\n+ *2\. +in time`).MatchString(pages[0]) {
			t.Errorf("%s: the first page reads\n%s", paper, pages[0])
		}
		if !strings.Contains(pages[0], g.Title) {
			t.Errorf("%s: the first sheet is not below the words:\n%s", paper, pages[0])
		}
		all := strings.Join(pages, "\f")
		first, second := strings.Index(all, g.Title), strings.Index(all, c.Title)
		if first < 0 || second < first {
			t.Errorf("%s: the sheets stand at %d and %d", paper, first, second)
		}
		for i, p := range pages {
			lines := strings.Fields(p)
			if got := lines[len(lines)-1]; got != string(rune('1'+i)) {
				t.Errorf("%s: page %d ends with %q", paper, i+1, got)
			}
		}
	}
}

// TestLongWordsHaveTheirOwnPages: where a sheet would be parted, it begins on a page
// of its own, and so it does behind words of several pages.
func TestLongWordsHaveTheirOwnPages(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	demos, err := Demos()
	if err != nil {
		t.Fatal(err)
	}
	for lines, want := range map[int]int{1: 0, 30: 1, 92: 3} {
		made, err := Make(context.Background(), Plan{Tune: demos[0].Tune, Rigs: []*rig.Rig{g}, Recordings: NoRecordings, Title: "Words", Words: strings.Repeat("Line by line.\n", lines)}, nil)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "handout.pdf")
		if err := os.WriteFile(file, made.Handout(), 0o600); err != nil {
			t.Fatal(err)
		}
		pages := strings.Split(strings.TrimSuffix(poppler(t, "pdftotext", "-layout", file, "-"), "\f"), "\f")
		at := -1
		for i, p := range pages {
			if strings.Contains(p, g.Title) && at < 0 {
				at = i
			}
		}
		if at != want {
			t.Errorf("behind %d lines of words the sheet begins on page %d, want %d", lines, at+1, want+1)
		}
		if n := strings.Count(strings.Join(pages, "\f"), "Line by line."); n != lines {
			t.Errorf("%d of %d lines are printed", n, lines)
		}
	}
}

func poppler(t *testing.T, program string, args ...string) string {
	t.Helper()
	out, err := exec.Command(program, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s (make test-tools installs it): %v\n%s", program, err, out)
	}
	return string(out)
}

// TestOneRigFails: what one instrument can't do is said in its place, and the rest is made;
// when none can be made that is an error.
func TestOneRigFails(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	c, _ := rig.Builtin("lap6-c6")
	far := 9
	bad := arrange.Options{Octave: &far}
	plan := Plan{Tune: abctest.Tune(t, short), Rigs: []*rig.Rig{g, c}, Recordings: NoRecordings, Arrange: map[string]arrange.Options{g.Name: bad}}
	made, err := Make(context.Background(), plan, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(made.Editions) != 1 || len(made.Missing) != 1 || made.Missing[0].Rig != g.Name || !strings.Contains(made.Missing[0].Line(), g.Title+" is missing: ") {
		t.Errorf("%d parts, missing %v", len(made.Editions), made.Missing)
	}
	page, err := made.Page(false)
	if err != nil || !strings.Contains(string(page), g.Title+" is missing: ") {
		t.Errorf("the page does not say so: %v", err)
	}
	file := filepath.Join(t.TempDir(), "handout.pdf")
	if err := os.WriteFile(file, made.Handout(), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := poppler(t, "pdftotext", file, "-"); !strings.Contains(got, "is missing") {
		t.Errorf("the handout does not say so:\n%s", got)
	}
	plan.Arrange[c.Name] = bad
	if _, err := Make(context.Background(), plan, nil); err == nil {
		t.Error("a lesson without any instrument was made")
	}
}
