package refcheck

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lapwright/internal/arrange"
	"lapwright/internal/notation/abc"
	"lapwright/internal/notation/tabtext"
	"lapwright/internal/rig"
)

var updateArranging = flag.Bool("update-arranging", false, "write the arrangements in docs/arranging.md anew")

// section is one arrangement of the document: a tune in ABC, the command that
// arranges it, and the tab that it prints.
var section = regexp.MustCompile("(?s)```abc\n(.*?)```\n+`lapwright arrange [^`]*?--rig (\\S+?)((?: --[a-z]+ \\S+)*)`\n+```text\n(.*?)```")

// TestArrangingDocument arranges the tunes of docs/arranging.md again: what the
// document prints and judges must be what the program does now.
func TestArrangingDocument(t *testing.T) {
	path := filepath.Join(Root(t), "docs", "arranging.md")
	doc, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(doc)
	found := section.FindAllStringSubmatchIndex(text, -1)
	if len(found) != 10 {
		t.Fatalf("%d arrangements in the document, want ten", len(found))
	}
	var out strings.Builder
	last := 0
	for _, m := range found {
		music, name, flags, printed := text[m[2]:m[3]], text[m[4]:m[5]], text[m[6]:m[7]], text[m[8]:m[9]]
		got := arrangedText(t, music, name, flags)
		if got != printed && !*updateArranging {
			t.Errorf("%s on %s has changed; read it as a player would, then run this test with -update-arranging\n%s", firstLineOf(music), name, got)
		}
		out.WriteString(text[last:m[8]] + got)
		last = m[9]
	}
	out.WriteString(text[last:])
	if *updateArranging {
		if err := os.WriteFile(path, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func firstLineOf(music string) string {
	_, title, _ := strings.Cut(music, "T:")
	title, _, _ = strings.Cut(title, "\n")
	return title
}

// arrangedText gives the tab of a tune without the head and the fine print.
func arrangedText(t *testing.T, music, rigName, flags string) string {
	t.Helper()
	tunes, warnings, err := abc.Read([]byte(music), "arranging.abc")
	if err != nil || len(warnings) > 0 {
		t.Fatalf("%v %v", err, warnings)
	}
	r, ok := rig.Builtin(rigName)
	if !ok {
		t.Fatalf("no rig %q", rigName)
	}
	var o arrange.Options
	words := strings.Fields(flags)
	for i := 0; i+1 < len(words); i += 2 {
		switch words[i] {
		case "--harmony":
			o.Harmony, err = arrange.ParseHarmony(words[i+1])
		case "--level":
			o.Level, err = arrange.ParseLevel(words[i+1])
		default:
			t.Fatalf("this test does not know the flag %q", words[i])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	res, err := arrange.Arrange(tunes[0], r, o)
	if err != nil {
		t.Fatal(err)
	}
	whole := string(tabtext.Format(res.Tab))
	from := strings.Index(whole, "\n\n")
	body := whole[from+2:]
	if end := strings.Index(body, "\nfine print:"); end >= 0 {
		body = body[:end]
	}
	return strings.TrimRight(body, "\n") + "\n"
}
