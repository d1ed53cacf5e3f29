package refcheck

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/internal/notation/musicxml"
	"lapwright/internal/pitch"
	"lapwright/internal/tune"
)

// validate runs xmllint with the MusicXML 4.0 schema over files of one folder
// and fails the test with what it says.
func validate(t *testing.T, dir string) {
	t.Helper()
	schema := Reference(t, "musicxml", "musicxml.xsd")
	files, err := filepath.Glob(filepath.Join(dir, "*.musicxml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("nothing to validate: %v", err)
	}
	cmd := exec.Command("xmllint", append([]string{"--nonet", "--noout", "--schema", schema}, files...)...)
	cmd.Env = append(os.Environ(), "XML_CATALOG_FILES="+filepath.Join(filepath.Dir(schema), "catalog.xml"))
	out, err := cmd.CombinedOutput()
	valid := strings.Count(string(out), " validates\n")
	if err != nil || valid != len(files) {
		text := string(out)
		var wrong []string
		for _, line := range strings.Split(text, "\n") {
			if !strings.HasSuffix(line, " validates") && line != "" {
				wrong = append(wrong, line)
			}
		}
		t.Fatalf("xmllint: %v; %d of %d files are valid\n%s", err, valid, len(files), strings.Join(wrong[:min(20, len(wrong))], "\n"))
	}
	t.Logf("%d files valid", valid)
}

// TestMusicXMLValid validates every tune of the corpus and a spread of tabs on
// all built-in rigs against the schema of MusicXML 4.0.
func TestMusicXMLValid(t *testing.T) {
	dir := t.TempDir()
	n := 0
	for name, book := range tuneBooks(t) {
		for _, in := range book {
			b, err := musicxml.WriteTune(in)
			if err != nil {
				t.Fatalf("%s %d: %v", name, in.Index, err)
			}
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s%d.musicxml", name, in.Index)), b, 0o600); err != nil {
				t.Fatal(err)
			}
			n++
		}
	}
	for i, tb := range someTabs(t, 8) {
		if i%2 == 0 {
			withGlides(tb)
		}
		b, err := musicxml.Write(tb)
		if err != nil {
			t.Fatalf("%s on %s: %v", tb.Tune.Title, tb.Rig.Name, err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("tab%03d.musicxml", i)), b, 0o600); err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n < 650 {
		t.Errorf("only %d files", n)
	}
	validate(t, dir)
}

// plain takes out of a tune what MusicXML is documented not to keep
// (docs/formats/musicxml.md).
func plain(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := range out.Bars {
		b := &out.Bars[i]
		if !b.Key.Own && b.Key.Signature == pitch.SignatureOf(b.Key.Fifths()) {
			continue
		}
		b.Key.Tonic, b.Key.Mode = pitch.Class{}, 0
	}
	for i := range out.Bars {
		b := &out.Bars[i]
		if b.Right.Repeat > 0 && b.Right.Style == tune.FinalLine {
			b.Right.Style = tune.SingleLine
		}
		if b.Left.Repeat > 0 && b.Left.Style == tune.OpenLine {
			b.Left.Style = tune.SingleLine
		}
		for j := range b.Chords {
			if c := b.Chords[j].Chord; c != nil {
				b.Chords[j].Text = ""
			}
		}
		for _, line := range b.Lines {
			for k := range line {
				line[k].BeamEnd = false
				for j := range line[k].Notes {
					line[k].Notes[j].Show = false
				}
				for g := range line[k].Graces {
					for j := range line[k].Graces[g].Notes {
						line[k].Graces[g].Notes[j].Show = false
					}
				}
			}
		}
	}
	return out
}

// TestMusicXMLTunes writes every tune of the corpus, reads it back and compares
// everything that a tune holds.
func TestMusicXMLTunes(t *testing.T) {
	books := tuneBooks(t)
	n := 0
	for _, name := range slices.Sorted(maps.Keys(books)) {
		for _, in := range books[name] {
			b, err := musicxml.WriteTune(in)
			if err != nil {
				t.Fatal(err)
			}
			s, err := musicxml.Read(b, name)
			if err != nil {
				t.Errorf("%s %d %q: %v", name, in.Index, in.Title, err)
				continue
			}
			if len(s.Warnings) > 0 {
				t.Errorf("%s %d %q: %v", name, in.Index, in.Title, s.Warnings)
			}
			want, got := plain(in), plain(s.Parts[0].Tune)
			if reflect.DeepEqual(want, got) {
				continue
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s %d %q: (-written +read)\n%s", name, in.Index, in.Title, d)
				if n++; n > 5 {
					t.FailNow()
				}
			}
		}
	}
}

// TestMusicXMLTabs writes tabs on every built-in rig, reads them back and
// compares strokes and plucks: strings, frets, bar, benders, attacks.
func TestMusicXMLTabs(t *testing.T) {
	plucks := 0
	for i, in := range someTabs(t, 6) {
		if i%2 == 0 {
			withGlides(in)
		}
		where := fmt.Sprintf("%s on %s", in.Tune.Title, in.Rig.Name)
		b, err := musicxml.Write(in)
		if err != nil {
			t.Fatal(where, err)
		}
		s, err := musicxml.Read(b, "tab.musicxml")
		if err != nil {
			t.Errorf("%s: %v", where, err)
			continue
		}
		p, err := s.Part("")
		if err != nil {
			t.Errorf("%s: %v", where, err)
			continue
		}
		got, warnings, err := p.Tab(nil)
		if err != nil || len(warnings)+len(s.Warnings) > 0 {
			t.Errorf("%s: %v %v %v", where, err, warnings, s.Warnings)
			continue
		}
		if got.Rig.Name != in.Rig.Name || got.Rig.Capo.At != in.Rig.Capo.At || got.Transposed != in.Transposed {
			t.Errorf("%s: on %s with the capo at %d, moved by %d", where, got.Rig.Name, got.Rig.Capo.At, got.Transposed)
		}
		for _, st := range in.Strokes {
			plucks += len(st.Plucks)
		}
		if d := cmp.Diff(in.Strokes, got.Strokes); d != "" {
			t.Errorf("%s: (-written +read)\n%s", where, d[:min(len(d), 2000)])
		}
		if want, got := soundText(in.Tune), soundText(got.Tune); firstDifference(got, want) != "" {
			t.Errorf("%s: the tune: %s", where, firstDifference(got, want))
		}
	}
	if plucks < 5000 {
		t.Errorf("only %d plucks", plucks)
	}
	t.Logf("%d plucks", plucks)
}
