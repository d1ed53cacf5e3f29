package refcheck

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lapwright/tune"
)

// texts returns the text of each tune of a book: from an X: field to the next.
func texts(t *testing.T, name string) []string {
	t.Helper()
	src, err := os.ReadFile(Reference(t, "tunes", name+".abc"))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for line := range strings.Lines(string(src)) {
		if strings.HasPrefix(line, "X:") {
			out = append(out, "")
		}
		if len(out) > 0 {
			out[len(out)-1] += line
		}
	}
	return out
}

// sameThere allows two ticks of 480 to a quarter: the program begins one late.
func sameThere(a, b heard) bool { return a.key == b.key && math.Abs(a.at-b.at) <= 2.2/480 }

// apart says where the program abc2midi (4.84, of Debian's abcmidi) and we disagree on
// a tune of the books, and who has the ABC 2.1 standard on their side by which
// section: "we", "text" where the text is no ABC, "open" where the standard leaves it
// open.
var apart = map[string]struct{ right, section, reason string }{
	"ashover6":   {"we", "4.8", "after the second ending an unopened repeat goes back to the end of the last one; the program goes back to the start"},
	"ashover21":  {"open", "4.14", "the program plays the rolls out"},
	"jigs2":      {"we", "4.8", "an unopened repeat after the double line that ends a second ending; the program plays that section once"},
	"jigs71":     {"open", "4.14", "the program plays the trills out"},
	"jigs76":     {"open", "4.14", "the program plays the rolls out"},
	"jigs81":     {"we", "4.8", "the unopened repeats after an opened one; the program plays those sections once"},
	"jigs83":     {"we", "4.8", "an unopened repeat after double lines; the program goes back to the start"},
	"jigs110":    {"we", "4.8", "unopened repeats inside a part; the program goes back past the ends of repeats"},
	"jigs130":    {"we", "4.8", "an unopened repeat after double lines; the program goes back to the start"},
	"jigs153":    {"text", "4.17", "a chord whose bracket is not closed, [e2c2(3A/2B/2c/2; the program nests what follows in it"},
	"reelsa-c18": {"we", "4.8", "an unopened repeat after a double line; the program goes back to the start"},
	"reelsa-c81": {"we", "4.8", "the line |||: opens a repeat; the program plays the last section once"},
	"reelsd-g1":  {"text", "4.17", "chords in both kinds of bracket at once, [+GB]; the program leaves their lower note out"},
	"waltzes19":  {"we", "4.8", "an unopened repeat after double lines; the program goes back to the start"},
	"waltzes30":  {"we", "4.8", "an unopened repeat after a double line; the program goes back to the start"},
	"xmas10":     {"we", "4.8", "an unopened repeat after a double line; the program goes back to the start"},
}

// forProgram returns a text as the program is given it: the notes of a chord begin at
// once, and the order of the parts, which these books have in a field of their own, is
// in the standard's P: field.
func forProgram(text string) string {
	text = strings.Replace(text, "\nK:", "\n%%MIDI chordattack 0\nK:", 1)
	return strings.Replace(text, "\nY:", "\nP:", 1)
}

// throughProgram returns the melody that abc2midi makes of a text, without the
// accompaniment that it makes of chord symbols and without its longer fermatas.
func throughProgram(program, dir, text string) ([]heard, error) {
	in, out := filepath.Join(dir, "tune.abc"), filepath.Join(dir, "tune.mid")
	if err := os.WriteFile(in, []byte(forProgram(text)), 0o600); err != nil {
		return nil, err
	}
	if err := os.Remove(out); err != nil && !os.IsNotExist(err) {
		return nil, err
	}
	if said, err := exec.Command(program, in, "-o", out, "-NGUI", "-NFER", "-quiet").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("abc2midi: %w\n%s", err, said)
	}
	return readMelody(out)
}

// TestABCAgainstAbc2midi reads the tunes of the books as they stand, under the
// standard's own rule for accidentals, and compares every pitch and onset with what
// the program abc2midi makes of them.
func TestABCAgainstAbc2midi(t *testing.T) {
	program := tool(t, "abc2midi", "abcmidi")
	dir := t.TempDir()
	compared, equal := 0, 0
	unequal := map[string]bool{}
	for name, tunes := range tuneBooks(t) {
		all := texts(t, name)
		if len(all) != len(tunes) {
			t.Fatalf("%s: %d texts of %d tunes", name, len(all), len(tunes))
		}
		for i, tn := range tunes {
			id := fmt.Sprintf("%s%d", name, i+1)
			want, err := throughProgram(program, dir, all[i])
			if err != nil {
				t.Errorf("%s: %v", id, err)
				continue
			}
			compared++
			got := soundedOnce(tn)
			if slices.EqualFunc(got, want, sameThere) {
				equal++
				continue
			}
			unequal[id] = true
			why := apart[id]
			switch {
			case why.reason == "":
				n := 0
				for n < min(len(got), len(want)) && sameThere(got[n], want[n]) {
					n++
				}
				t.Errorf("%s %q: %d notes, there %d; from note %d on %v, there %v", id, tn.Title, len(got), len(want), n, got[n:min(n+5, len(got))], want[n:min(n+5, len(want))])
			case why.section == "4.14":
				// Without its ornaments the tune is the same.
				plain, err := throughProgram(program, dir, strings.NewReplacer("~", "", "!trill!", "").Replace(all[i]))
				if err != nil || !slices.EqualFunc(got, plain, sameThere) {
					t.Errorf("%s %q differs in more than its ornaments (%v)", id, tn.Title, err)
				}
			case slices.Contains(doubleLines, id):
				// Where the double lines are passed over there is no other difference.
				if un := unopened(tn); !slices.EqualFunc(soundedOnce(un), want, sameThere) && !slices.EqualFunc(soundedOnce(nested(un, false)), want, sameThere) {
					t.Errorf("%s %q differs in more than where its repeats go back to", id, tn.Title)
				}
			}
		}
	}
	for id := range apart {
		if !unequal[id] {
			t.Errorf("%s is listed as unlike abc2midi's and is equal", id)
		}
	}
	if compared != 616 || equal < 600 {
		t.Errorf("%d tunes compared, the books have 616; %d equal", compared, equal)
	}
	t.Logf("%d tunes: %d sound as abc2midi has them, %d are named with the reason", compared, equal, len(unequal))
}

// soundedOnce returns what a tune sounds; two notes of one pitch at once are one.
func soundedOnce(t *tune.Tune) []heard {
	var out []heard
	for _, s := range tune.Sound(t) {
		out = append(out, heard{float64(s.At) * 4 / float64(tune.Whole), s.Name.Key()})
	}
	sortHeard(out)
	return slices.Compact(out)
}
