package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var updateArranging = flag.Bool("update-arranging", false, "write the arrangements in docs/arranging.md anew")

// arrangement is one of the document: a tune in ABC where the command reads one, the
// command, and the tab that it prints.
var arrangement = regexp.MustCompile("(?s)(?:```abc\n([^`]*?)```\n+)?`lapwright ((?:arrange|accompany|drill) [^`]*)`\n+```text\n(.*?)```")

// TestArrangingDocument gives the commands of docs/arranging.md again: what the document
// shows and judges must be what they print now, head and fine print left out.
func TestArrangingDocument(t *testing.T) {
	path := filepath.Join(repository, "docs", "arranging.md")
	doc, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text := string(doc)
	found := arrangement.FindAllStringSubmatchIndex(text, -1)
	if len(found) != 20 {
		t.Fatalf("%d arrangements in the document, want twenty", len(found))
	}
	workplace(t)
	var out strings.Builder
	last := 0
	for _, m := range found {
		command, shown := text[m[4]:m[5]], text[m[6]:m[7]]
		if m[2] >= 0 {
			if err := os.WriteFile("tune.abc", []byte(text[m[2]:m[3]]), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		code, printed, complaint := ran(t, strings.Fields(command)...)
		if code != 0 || complaint != "" {
			t.Fatalf("%s ends with %d: %s", command, code, complaint)
		}
		got := tabOf(printed)
		if got != shown && !*updateArranging {
			t.Errorf("%q: %s prints something else now; read it as a player would, then run this test with -update-arranging\n%s", printed[:strings.Index(printed, "\nrig:")], command, got)
		}
		out.WriteString(text[last:m[6]] + got)
		last = m[7]
	}
	out.WriteString(text[last:])
	if *updateArranging {
		if err := os.WriteFile(path, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// tabOf returns the staves of what a command prints: what comes between the head and the
// fine print, or what is told below where there is no fine print.
func tabOf(printed string) string {
	_, body, _ := strings.Cut(printed, "\n\n")
	end := strings.Index(body, "\nfine print:")
	if end < 0 {
		end = strings.LastIndex(strings.TrimRight(body, "\n"), "\n\n")
	}
	return strings.TrimRight(body[:end], "\n") + "\n"
}
