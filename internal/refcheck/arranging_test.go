package refcheck

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/tab"
)

// TestArrangingLimits compares the document's table of limits with the limits
// in force.
func TestArrangingLimits(t *testing.T) {
	doc, err := os.ReadFile(filepath.Join(Root(t), "docs", "arranging.md"))
	if err != nil {
		t.Fatal(err)
	}
	row := func(name string, cell func(grip.Limits) string) {
		want := "| " + name
		for _, l := range []grip.Level{grip.FirstYear, grip.Steady, grip.Seasoned} {
			want += " | " + cell(grip.LimitsOf(l))
		}
		if want += " |"; !strings.Contains(string(doc), want+"\n") {
			t.Errorf("the document should have\n%s", want)
		}
	}
	number := func(unit string, f func(grip.Limits) float64) func(grip.Limits) string {
		return func(l grip.Limits) string { return fmt.Sprintf("%g%s", f(l), unit) }
	}
	row("lean of the steel", func(l grip.Limits) string {
		if l.Angle == 0 {
			return "none"
		}
		return fmt.Sprintf("%g°", l.Angle)
	})
	row("cents off for a string under a slant", number("", func(l grip.Limits) float64 { return l.Cents }))
	row("highest fret", number("", func(l grip.Limits) float64 { return float64(l.Fret) }))
	row("speed of the steel that still lands in tune", number(" mm/s", func(l grip.Limits) float64 { return l.Speed }))
	row("benders at once", number("", func(l grip.Limits) float64 { return float64(l.Benders) }))
	row("same finger again, from", func(l grip.Limits) string { return fmt.Sprintf("%.2f s", l.Repeat) })
	row("hammer-on, pull-off, from", func(l grip.Limits) string { return fmt.Sprintf("%.2f s", l.Hammer) })
	row("glides between notes, semitones a second", number("", func(l grip.Limits) float64 { return l.GlideRate }))
	row("vibrato, where it is asked for: for notes of", func(l grip.Limits) string {
		if l.Vibrato == 0 {
			return "none"
		}
		return fmt.Sprintf("%g s", l.Vibrato)
	})
	row("natural harmonics", func(l grip.Limits) string {
		return strings.Join([]string{"12th", "7th", "5th", "4th"}[:l.Harmonics-1], ", ") + " fret"
	})
	yes := map[bool]string{true: "yes", false: "no"}
	row("reverse slants", func(l grip.Limits) string { return yes[l.Reverse] })
	row("splits", func(l grip.Limits) string { return yes[l.Split] })
	row("palm harmonics", func(l grip.Limits) string { return yes[l.Palm] })
}

// TestPhrasesComeAgainAlike arranges the demonstration lesson's tunes on every
// built-in rig and looks at halves of bars with two strokes or more that
// have the same pitches at the same places: the player should learn them
// once, fingers included (common practice, no source). Some must differ, where
// what lies around them does.
func TestPhrasesComeAgainAlike(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Root(t), "internal", "lesson", "demo", "*.abc"))
	if err != nil || len(files) < 6 {
		t.Fatalf("%d tunes, %v", len(files), err)
	}
	pairs, otherStrings, otherFingers := 0, 0, 0
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		tunes, _, err := abc.Read(src, file)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rig.Builtins() {
			for octave := -1; octave <= 0; octave++ {
				res, err := arrange.Arrange(t.Context(), tunes[0], r, arrange.Options{Octave: &octave})
				if err != nil {
					t.Fatal(err)
				}
				seen := map[string][2]string{}
				for half := range 2 * len(res.Tab.Tune.Bars) {
					at, where, fingers := "", "", ""
					strokes := 0
					for i := range res.Tab.Strokes {
						s := &res.Tab.Strokes[i]
						long := res.Tab.Tune.Bars[s.BarIndex].Len
						if s.BarIndex != half/2 || (2*s.At >= long) != (half%2 == 1) {
							continue
						}
						at += fmt.Sprint(s.At, half%2, s.Grace)
						for _, p := range s.Plucks {
							at += fmt.Sprint(" ", res.Tab.Tune.Note(p.Ref).Name, p.Attack == tab.Tied)
							where += fmt.Sprintf(" %d:%g:%d", p.String, p.Fret, s.Benders)
							fingers += " " + p.Finger.String()
						}
						strokes++
					}
					if strokes < 2 {
						continue
					}
					if was, ok := seen[at]; ok {
						pairs++
						switch {
						case was[0] != where:
							otherStrings++
						case was[1] != fingers:
							otherFingers++
						}
					} else {
						seen[at] = [2]string{where, fingers}
					}
				}
			}
		}
	}
	t.Logf("%d half bars come again: %d on other strings or frets, %d with other fingers", pairs, otherStrings, otherFingers)
	if pairs < 400 || 100*otherStrings > 7*pairs || 100*otherFingers > pairs {
		t.Errorf("of %d half bars that come again, %d lie elsewhere and %d have other fingers", pairs, otherStrings, otherFingers)
	}
}
