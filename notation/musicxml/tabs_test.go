package musicxml_test

import (
	"context"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/musicxml"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune/tunetest"
)

// TestTabsComeBack writes tabs for every built-in rig and reads back what each
// hand does: string, place and lean of the steel, bender, attack, damping.
func TestTabsComeBack(t *testing.T) {
	tabs := 0
	for _, text := range tunetest.Pieces {
		tunes, _, err := abc.Read([]byte(text), "piece.abc")
		if err != nil {
			t.Fatal(err)
		}
		name := tunes[0].Title
		for _, r := range rig.Builtins() {
			res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Vibrato: true})
			if err != nil {
				continue // not every rig reaches every tune
			}
			in := res.Tab
			tabs++
			b, err := musicxml.Write(in)
			if err != nil {
				t.Fatal(err)
			}
			got := back(t, b)
			if got.Rig.Name != r.Name || got.Rig.Capo.At != in.Rig.Capo.At || got.Transposed != in.Transposed {
				t.Errorf("%s on %s comes back on %s, moved by %d", name, r.Name, got.Rig.Name, got.Transposed)
			}
			if d := cmp.Diff(in.Strokes, got.Strokes); d != "" {
				t.Errorf("%s on %s: (-written +read)\n%s", name, r.Name, d)
			}
			// A program that knows nothing of our marks, and drops them, leaves strings
			// and frets; what they sound is the tune still.
			plain := back(t, []byte(withoutOwnMarks(string(b))))
			if l := plain.Check(); len(l) > 0 {
				t.Errorf("%s on %s without our own marks: %v", name, r.Name, l)
			}
			for i := range in.Strokes {
				for j, p := range in.Strokes[i].Plucks {
					q := plain.Strokes[i].Plucks[j]
					if p.String != q.String || p.Finger != q.Finger || p.Attack == tab.Harmonic != (q.Attack == tab.Harmonic) {
						t.Errorf("%s on %s without our own marks: %+v is read as %+v", name, r.Name, p, q)
					}
				}
			}
		}
	}
	if tabs < 20 {
		t.Errorf("only %d tabs were made", tabs)
	}
}

func back(t *testing.T, b []byte) *tab.Tab {
	t.Helper()
	s, err := musicxml.Read(b, "tab.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Part("")
	if err != nil {
		t.Fatal(err)
	}
	out, warnings, err := p.Tab(nil)
	if err != nil || len(warnings)+len(s.Warnings) > 0 {
		t.Fatal(err, warnings, s.Warnings)
	}
	return out
}

// withoutOwnMarks takes out the notations that MusicXML keeps for a program's own use.
func withoutOwnMarks(score string) string {
	var out strings.Builder
	for {
		before, rest, found := strings.Cut(score, "<other-notation")
		out.WriteString(before)
		if !found {
			return out.String()
		}
		_, score, _ = strings.Cut(rest, "</other-notation>")
	}
}

// The syllables of a tune for two instruments stay with the first part; parts that don't fit
// together are refused.
func TestTogether(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nT:t\nM:3/4\nL:1/4\nK:G\nGBd|G3|]\nw: one two three four\n"), "t.abc")
	if err != nil {
		t.Fatal(err)
	}
	var tabs []*tab.Tab
	for _, name := range []string{"lap6-c6", "reso-open-g"} {
		r, _ := rig.Builtin(name)
		res, err := arrange.Arrange(t.Context(), tunes[0], r, arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		tabs = append(tabs, res.Tab)
	}
	b, err := musicxml.WriteTogether(tabs)
	if err != nil {
		t.Fatal(err)
	}
	s, err := musicxml.Read(b, "x.musicxml")
	if err != nil || len(s.Parts) != 2 || s.Parts[1].Rig != "reso-open-g" {
		t.Fatalf("%v, %v", s, err)
	}
	for i, want := range []int{4, 0} {
		n := 0
		for _, bar := range s.Parts[i].Tune.Bars {
			for _, e := range bar.Lines[0] {
				n += len(e.Lyrics)
			}
		}
		if n != want {
			t.Errorf("part %d has %d syllables, want %d", i+1, n, want)
		}
	}
	short := *tabs[1]
	short.Tune = tabs[1].Tune.Clone()
	short.Tune.Bars = short.Tune.Bars[:1]
	short.Strokes = short.Strokes[:3]
	if _, err := musicxml.WriteTogether([]*tab.Tab{tabs[0], &short}); err == nil || !strings.Contains(err.Error(), "one part has 2 bars and another 1") {
		t.Errorf("of two lengths: %v", err)
	}
	if _, err := musicxml.WriteTogether(nil); err == nil {
		t.Error("no part at all is written")
	}
}
