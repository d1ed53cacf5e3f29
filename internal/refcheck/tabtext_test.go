package refcheck

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/tabtext"
	"lapwright/rig"
	"lapwright/tune"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Tabs of real tunes are written as text and read back equal, and written
// again are the same text. The tunes are traditional melodies of the
// Nottingham database; every eleventh is taken on one built-in rig in turn, plain
// or harmonised.
func TestTabTextOfRealTunes(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Reference(t, "tunes"), "*.abc"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no tunes: %v", err)
	}
	rigs := rig.Builtins()
	n, tabs, fine := 0, 0, 0
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		tunes, _, err := abc.Read(src, file)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		for _, u := range tunes {
			n++
			if n%11 != 0 {
				continue
			}
			r := rigs[tabs%len(rigs)]
			harmony, err := arrange.ParseHarmony([]string{"", "thirds", "sixths", "chord"}[tabs%4])
			if err != nil {
				t.Fatal(err)
			}
			got, err := arrange.Arrange(t.Context(), u, r, arrange.Options{Harmony: harmony})
			if err != nil && harmony != 0 {
				// Some of the tunes have chords in them, which can't be harmonised.
				got, err = arrange.Arrange(t.Context(), u, r, arrange.Options{})
			}
			if err != nil {
				t.Errorf("%s, tune %d on %s: %v", file, u.Index, r.Name, err)
				continue
			}
			text := tabtext.Format(got.Tab)
			back, guesses, err := tabtext.Parse(text, "tab.txt", r)
			if err != nil || len(guesses) > 0 {
				t.Errorf("%s, tune %d on %s: %v %v\n%s", file, u.Index, r.Name, err, guesses, text)
				continue
			}
			back.Performed = back.Performance() // what the search kept of the performance is what comes out anew
			if d := cmp.Diff(got.Tab, back, cmpopts.EquateEmpty(), cmp.AllowUnexported(tune.Clock{})); d != "" {
				t.Errorf("%s, tune %d on %s changed (-was +is):\n%s", file, u.Index, r.Name, d)
			}
			if again := tabtext.Format(back); !bytes.Equal(text, again) {
				t.Errorf("%s, tune %d on %s: the text changed", file, u.Index, r.Name)
			}
			tabs++
			if i := bytes.Index(text, []byte("\nfine print:")); i >= 0 {
				fine += bytes.Count(text[i:], []byte("\n"))
			}
		}
	}
	if tabs < 50 {
		t.Errorf("only %d tabs were tried", tabs)
	}
	t.Logf("%d tabs, %.1f lines of fine print each", tabs, float64(fine)/float64(tabs))
}
