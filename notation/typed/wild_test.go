package typed

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/internal/golden"
	"lapwright/notation/columns"
	"lapwright/notation/tabtext"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// reading is the expected reading of a text: written by hand beside it.
type reading struct {
	rig     *rig.Rig
	bars    []string          // "1: 0 D4; 1/4 E4", as lines of the .want file
	attacks map[string]string // by "bar/at"
	benders map[string]string
	scoops  map[string]string
	marks   map[string]string
	parts   map[string]string // by bar number
	key     string            // where it is told; "" for any
}

func wanted(t *testing.T, file string) reading {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	out := reading{attacks: map[string]string{}, benders: map[string]string{}, scoops: map[string]string{}, marks: map[string]string{}, parts: map[string]string{}}
	for _, l := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		if name, ok := strings.CutPrefix(l, "rig "); ok {
			r := rigtest.Builtin(t, name)
			out.rig = r
			continue
		}
		head, rest, ok := strings.Cut(l, ": ")
		if !ok {
			t.Fatalf("%s: %q", file, l)
		}
		if head == "key" {
			out.key = rest
			continue
		}
		into := map[string]map[string]string{"attacks": out.attacks, "benders": out.benders, "scoops": out.scoops, "marks": out.marks, "parts": out.parts}[head]
		if into == nil {
			out.bars = append(out.bars, l)
			continue
		}
		for _, part := range strings.Split(rest, "; ") {
			at, what, _ := strings.Cut(part, " ")
			into[at] = what
		}
	}
	return out
}

// The words of the .want files for how a note begins.
var attackWords = map[tab.Attack]string{
	tab.Picked: "picked", tab.Tied: "tied", tab.Glided: "glided", tab.Hammered: "hammered",
	tab.PulledOff: "pulled-off", tab.Harmonic: "harmonic", tab.PalmHarmonic: "palm-harmonic",
}

func strokesByBar(t *tab.Tab) [][]*tab.Stroke {
	out := make([][]*tab.Stroke, len(t.Tune.Bars))
	for i := range t.Strokes {
		if b := t.Strokes[i].BarIndex; b >= 0 && b < len(out) {
			out[b] = append(out[b], &t.Strokes[i])
		}
	}
	return out
}

// letters writes a set of benders.
func letters(r *rig.Rig, set rig.BenderSet) string {
	s := ""
	for i, b := range r.Benders {
		if set.Has(i) {
			s += b.Mark
		}
	}
	return s
}

// shown writes a tab the way the .want files do. Notes held on by a tie are
// left out.
func shown(tb *tab.Tab) (bars []string, of reading) {
	of = reading{attacks: map[string]string{}, benders: map[string]string{}, scoops: map[string]string{}, marks: map[string]string{}, parts: map[string]string{}}
	byBar := strokesByBar(tb)
	for i := range tb.Tune.Bars {
		num := strconv.Itoa(tb.Tune.Bars[i].Number)
		if p := tb.Tune.Bars[i].Part; p != "" {
			of.parts[num] = p
		}
		var parts []string
		for _, s := range byBar[i] {
			var names []pitch.Name
			at := num + "/" + s.At.String()
			for _, p := range s.Plucks {
				if p.Attack == tab.Tied && of.attacks[at] == "" {
					if before := num + "/"; before != "" {
						of.attacks[at] = strings.TrimSpace(of.attacks[at] + " tied")
					}
				} else {
					of.attacks[at] = strings.TrimSpace(of.attacks[at] + " " + attackWords[p.Attack])
				}
				if p.Scoop != 0 {
					of.scoops[at] = columns.Number(p.Scoop, false)
				}
				if p.Vibrato {
					of.marks[at] = "vibrato"
				}
				if p.Damp {
					of.marks[at] = "damp"
				}
				names = append(names, tb.Tune.Note(p.Ref).Name)
			}
			if s.Benders != 0 {
				of.benders[at] = letters(tb.Rig, s.Benders)
			}
			slices.SortFunc(names, func(a, b pitch.Name) int { return a.Key() - b.Key() })
			words := []string{s.At.String()}
			for _, n := range names {
				words = append(words, n.String())
			}
			parts = append(parts, strings.Join(words, " "))
		}
		bars = append(bars, num+": "+strings.Join(parts, "; "))
	}
	return bars, of
}

func caretText(src []byte, list fault.List) string {
	var b strings.Builder
	for _, f := range list {
		fmt.Fprintln(&b, f.Error())
		if c := columns.Caret(src, f); c != "" {
			fmt.Fprintln(&b, c)
		}
	}
	return b.String()
}

// Texts as players type them, all of our own music. Beside each stands its
// reading, written by hand (.want), and what is said about it (.said).
func TestWildTexts(t *testing.T) {
	for _, file := range golden.Texts(t, "wild", 30) {
		base := strings.TrimSuffix(file, ".txt")
		t.Run(filepath.Base(base), func(t *testing.T) {
			want := wanted(t, base+".want")
			src, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got, guesses, err := Parse(src, filepath.Base(file), want.rig)
			if err != nil {
				t.Fatalf("%v\n%s", err, src)
			}
			bars, of := shown(got)
			if !slices.Equal(bars, want.bars) {
				t.Errorf("read as\n%s\nwant\n%s\nof\n%s%s", strings.Join(bars, "\n"), strings.Join(want.bars, "\n"), src, caretText(src, guesses))
			}
			if got := got.Tune.Bars[0].Key.String(); want.key != "" && got != want.key {
				t.Errorf("the key is taken as %s, want %s", got, want.key)
			}
			for _, c := range []struct {
				what      string
				got, want map[string]string
			}{{"attacks", of.attacks, want.attacks}, {"benders", of.benders, want.benders}, {"scoops", of.scoops, want.scoops}, {"marks", of.marks, want.marks}, {"parts", of.parts, want.parts}} {
				for at, w := range c.want {
					if c.got[at] != w {
						t.Errorf("%s at %s: %q, want %q", c.what, at, c.got[at], w)
					}
				}
			}
			for _, g := range guesses {
				if g.Line == 0 {
					t.Errorf("not a sound tab: %v", g)
				}
			}
			golden.File(t, base+".said", []byte(caretText(src, guesses)))
			// What was read can be written exactly.
			text := tabtext.Format(got)
			again, warned, err := tabtext.Parse(text, "again.txt", want.rig)
			if err != nil || len(warned) > 0 {
				t.Fatalf("written out it can't be read: %v %v\n%s", err, warned, text)
			}
			if !bytes.Equal(tabtext.Format(again), text) {
				t.Errorf("written, read and written it changed:\n%s\n%s", text, tabtext.Format(again))
			}
		})
	}
}

// Texts that are broken. What is said about each, with carets, stands beside it
// (.said); the first line of the text's .said is "refused" when nothing could
// be read.
func TestBrokenTexts(t *testing.T) {
	golden.Broken(t, func(t *testing.T, name string, text []byte, r *rig.Rig) string {
		got, guesses, err := Parse(text, name, r)
		if err == nil {
			bars, _ := shown(got)
			return "read\n" + strings.Join(bars, "\n") + "\n" + caretText(text, guesses)
		}
		list, ok := err.(fault.List)
		if !ok || got != nil {
			t.Fatalf("error %T %v with tab %v", err, err, got)
		}
		return "refused\n" + caretText(text, list)
	})
}
