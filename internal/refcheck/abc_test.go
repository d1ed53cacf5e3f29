package refcheck

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"lapwright/notation/abc"
	"lapwright/tune"
)

// The witness: the melody files of the tune books (see the README of the reference
// folder) were made from the same texts by other software. Read critically, they
// differ from the ABC 2.1 standard in ways that hold for all of them, which the test
// makes good on our side, and in single tunes, which it names:
//
//   - An accidental counts for its own note only. The standard carries it to the
//     end of the bar, and the texts mean it so (ashover has _E G C E for a chord of C
//     minor, D ^F A D F for one of D), unless the instruction "propagate-accidentals
//     not" is given (section 11.3): to compare, the books are read under that
//     instruction. Read as the standard has it, 76 tunes more differ, in those notes.
//   - Tied notes are struck again (section 4.11 has them sound as one). A note of the
//     witness that strikes again what we hold by a tie is passed over.
//   - Onsets lie on a grid of eighths and thirds of a quarter note, which holds no
//     triplet of sixteenths: our onsets are put on that grid.
//   - A pickup bar is filled up with silence before it.
//   - Two notes of the same pitch at once are one.
//   - Repeats nest like brackets: in a tune such as "A :| B :|" the second goes back
//     to the first bar of all and plays A A B A A B, where the standard and all
//     players have A A B B. These tunes (lostStarts) are compared in the witness's
//     order.
const carryNot = "I:propagate-accidentals not\n\n"

// lostStarts are the tunes that the witness repeats from the start of all.
var lostStarts = strings.Fields(`
	ashover4 ashover5 ashover6 ashover17 ashover20 ashover21 ashover24 ashover35
	ashover38 ashover45 jigs2 jigs3 jigs9 jigs81 jigs87 jigs96
	jigs191 jigs244 jigs310 jigs337 reelsa-c15 reelsa-c52 reelsa-c65 reelsa-c71
	reelsa-c72 reelsa-c75 reelsa-c76 reelsa-c77 reelsa-c79 reelsa-c80 reelsd-g1 reelsd-g76
`)

// doubleLines are the tunes with a repeat that nothing opens and a double line before
// it: section 4.8 of the standard has players go back to that, and the witness goes
// back to the start or to the last repeat all the same.
var doubleLines = strings.Fields(`jigs83 jigs130 reelsa-c18 waltzes19 waltzes30 xmas10`)

// unopened returns a copy of a tune without the signs that open a repeat after a double
// line.
func unopened(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := 1; i < len(out.Bars); i++ {
		if s := out.Bars[i-1].Right.Style; s == tune.DoubleBarline || s == tune.FinalBarline || out.Bars[i].Left.Style == tune.OpenBarline {
			out.Bars[i].Left.Repeat = 0
		}
	}
	return out
}

// melodyFaults are the tunes that differ still, with the reason.
var melodyFaults = map[string]string{
	"jigs44":     "the witness leaves out the lower note of the tied chord [E3c3]-[E3c3] at the end",
	"jigs110":    "the witness nests five repeats without a start, inside a part",
	"jigs153":    "the text has a chord whose bracket is not closed, [e2c2(3A/2B/2c/2; the witness takes another length for it",
	"jigs181":    "the witness leaves out the lower note of the chords [_E_B] and [E2B2]",
	"jigs182":    "the witness takes the tied notes of ^G3 -G3 for two pitches, having each accidental count once",
	"jigs237":    "the witness leaves out part B: it does not read the P: field's order",
	"jigs311":    "the witness leaves out one of three sixteenths of a triplet on one pitch, which its grid can't hold",
	"reelsa-c49": "the witness leaves out part B, which no order names",
	"reelsd-g30": "the witness takes the tied notes of =g/2 -g/2 for two pitches, having each accidental count once",
	"reelsd-g58": "the witness leaves out part B: it does not read the P: field's order",
}

// tuneBooks returns the tunes of every book of the witness folder, by the
// book's name without its ending.
func tuneBooks(t testing.TB) map[string][]*tune.Tune { return booksAfter(t, "") }

// booksAfter returns the same, read with some lines before each book.
func booksAfter(t testing.TB, before string) map[string][]*tune.Tune {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(Reference(t, "tunes"), "*.abc"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no tune books: %v", err)
	}
	books := map[string][]*tune.Tune{}
	for _, path := range files {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Base(path)
		tunes, _, err := abc.Read(append([]byte(before), src...), name)
		if err != nil {
			t.Fatal(err)
		}
		books[strings.TrimSuffix(name, ".abc")] = tunes
	}
	return books
}

// heard is one note: its onset in quarter notes and its key number.
type heard struct {
	at  float64
	key int
}

func (h heard) String() string { return fmt.Sprintf("%.4g:%d", h.at, h.key) }

// same allows two ticks of the melody files, which have 1024 to a quarter.
func same(a, b heard) bool { return a.key == b.key && math.Abs(a.at-b.at) <= 2./1024 }

// readMelody reads the note onsets of a MIDI file with a library that has
// nothing of ours in it.
func readMelody(path string) ([]heard, error) {
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	file, err := smf.ReadFrom(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	division, ok := file.TimeFormat.(smf.MetricTicks)
	if !ok {
		return nil, fmt.Errorf("time is not in ticks of a quarter note")
	}
	var out []heard
	for _, track := range file.Tracks {
		at := int64(0)
		for _, e := range track {
			at += int64(e.Delta)
			var channel, key, velocity uint8
			if midi.Message(e.Message).GetNoteStart(&channel, &key, &velocity) {
				out = append(out, heard{float64(at) / float64(division.Resolution()), int(key)})
			}
		}
	}
	sortHeard(out)
	return slices.Compact(out), nil
}

func sortHeard(notes []heard) {
	slices.SortFunc(notes, func(a, b heard) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.key, b.key)) })
}

// onGrid returns the nearest eighth or third of a quarter note.
func onGrid(at float64) float64 {
	eighth, third := math.Round(at*8)/8, math.Round(at*3)/3
	if math.Abs(at-third) < math.Abs(at-eighth) {
		return third
	}
	return eighth
}

// hear returns what a tune sounds, on the witness's grid, after the silence that
// fills up its pickup.
func hear(t *tune.Tune, lead float64) []heard {
	var out []heard
	for _, s := range tune.Sound(t) {
		out = append(out, heard{onGrid(float64(s.At)*4/float64(tune.Whole) + lead), s.Name.Key()})
	}
	sortHeard(out)
	return slices.Compact(out)
}

// untied returns a copy of a tune without its ties.
func untied(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := range out.Bars {
		for _, line := range out.Bars[i].Lines {
			for k := range line {
				for n := range line[k].Notes {
					line[k].Notes[n].Tie = false
				}
			}
		}
	}
	return out
}

// nested returns a copy of a tune whose bars stand in the order in which the witness
// plays them: a repeat that was not opened goes back to the first bar of all, or to
// an earlier sign that opened one when toSign is set, over all repeats between.
func nested(t *tune.Tune, toSign bool) *tune.Tune {
	var (
		bars    []tune.Bar
		opened  bool
		start   int // in bars: the last sign that opened a repeat
		section = func() []tune.Bar {
			if opened || toSign {
				return slices.Clone(bars[start:])
			}
			return slices.Clone(bars)
		}
	)
	for i := 0; i < len(t.Bars); i++ {
		b := t.Bars[i]
		if b.Left.Repeat > 0 {
			opened, start = true, len(bars)
		}
		if len(b.Endings) > 0 {
			again := section()
			for ; i < len(t.Bars); i++ {
				bars = append(bars, t.Bars[i])
				if t.Bars[i].EndingEnds {
					break
				}
			}
			if b.Endings[0] == 1 {
				bars = append(bars, again...)
			} else {
				opened = false
			}
			continue
		}
		bars = append(bars, b)
		if b.Right.Repeat > 0 {
			bars = append(bars, section()...)
			opened = false
		}
	}
	out := t.Clone()
	out.Bars, out.PartOrder = bars, ""
	for i := range out.Bars {
		b := &out.Bars[i]
		b.Left.Repeat, b.Right.Repeat, b.Endings, b.EndingEnds = 0, 0, nil, false
	}
	return out
}

// compareMelody returns "" when a tune sounds as the witness does, else the first
// difference.
func compareMelody(t *tune.Tune, want []heard) string {
	first := ""
	for _, filled := range []bool{true, false} {
		lead := 0.
		if filled {
			lead = max(0, float64(t.Bars[0].Meter.Len()-t.Bars[0].Len)*4/float64(tune.Whole))
		}
		got := hear(t, lead)
		struck := hear(untied(t), lead)
		var rest []heard
		for _, w := range want {
			is := func(h heard) bool { return same(h, w) }
			if slices.ContainsFunc(struck, is) && !slices.ContainsFunc(got, is) {
				continue
			}
			rest = append(rest, w)
		}
		if slices.EqualFunc(got, rest, same) {
			return ""
		}
		n := 0
		for n < min(len(got), len(rest)) && same(got[n], rest[n]) {
			n++
		}
		if first == "" {
			first = fmt.Sprintf("%d notes, witness %d; from note %d on %v, witness %v", len(got), len(rest), n, got[n:min(n+6, len(got))], rest[n:min(n+6, len(rest))])
		}
	}
	return first
}

func TestABCAgainstMelodies(t *testing.T) {
	compared, plain, lost, double := 0, 0, 0, 0
	unequal := map[string]bool{}
	for name, tunes := range booksAfter(t, carryNot) {
		for i, tn := range tunes {
			id := fmt.Sprintf("%s%d", name, i+1)
			want, err := readMelody(Reference(t, "tunes", "melody-midi", id+".mid"))
			if err != nil {
				t.Errorf("%s: %v", id, err)
				continue
			}
			compared++
			difference := compareMelody(tn, want)
			if difference == "" {
				plain++
				continue
			}
			if compareMelody(nested(tn, false), want) == "" || compareMelody(nested(tn, true), want) == "" {
				lost++
				if !slices.Contains(lostStarts, id) {
					t.Errorf("%s %q is repeated from the start of all in the witness, and is not listed", id, tn.Title)
				}
				continue
			}
			if slices.Contains(doubleLines, id) && (compareMelody(unopened(tn), want) == "" || compareMelody(nested(unopened(tn), false), want) == "") {
				double++
				continue
			}
			unequal[id] = true
			if melodyFaults[id] == "" {
				t.Errorf("%s %q: %s", id, tn.Title, difference)
			}
		}
	}
	t.Logf("%d tunes: %d sound as the witness, %d in the witness's order of repeats, %d go back to a double line, %d differ", compared, plain, lost, double, len(unequal))
	if double != len(doubleLines) {
		t.Errorf("%d tunes are listed as going back to a double line, and %d do", len(doubleLines), double)
	}
	if lost != len(lostStarts) {
		t.Errorf("%d tunes are listed as repeated from the start of all, and %d are", len(lostStarts), lost)
	}
	for id := range melodyFaults {
		if !unequal[id] {
			t.Errorf("%s is listed as unlike the witness and is equal", id)
		}
	}
	if compared != 616 {
		t.Errorf("%d tunes compared, the books have 616", compared)
	}
	if (plain+lost+double)*100 < compared*98 {
		t.Errorf("%d of %d tunes equal, under 98 %%", plain+lost+double, compared)
	}
}

// TestABCBooksReadBack: every tune of the books, written as ABC and read again, is
// the same tune, and nothing is lost. The books themselves are the outside
// material; that they are read right is for TestABCAgainstMelodies.
func TestABCBooksReadBack(t *testing.T) {
	compared := 0
	for name, tunes := range tuneBooks(t) {
		for i, want := range tunes {
			text, lost := abc.Write(want)
			for _, f := range lost {
				t.Errorf("%s%d %q: %v", name, i+1, want.Title, f)
			}
			got, _, err := abc.Read(text, "written.abc")
			if err != nil || len(got) != 1 {
				t.Errorf("%s%d %q: %d tunes, %v\n%s", name, i+1, want.Title, len(got), err, text)
				continue
			}
			if !reflect.DeepEqual(want, got[0]) {
				t.Errorf("%s%d %q: %s\n%s", name, i+1, want.Title, gocmp.Diff(want, got[0]), text)
			}
			compared++
		}
	}
	if compared != 616 {
		t.Errorf("%d tunes compared, the books have 616", compared)
	}
}

// TestABCBooksMoved: every tune of the books, moved by a tone and more, written and
// read again, sounds as moved, under chord symbols that are those of the moved tune.
func TestABCBooksMoved(t *testing.T) {
	compared, chords := 0, 0
	for name, tunes := range tuneBooks(t) {
		for i, tn := range tunes {
			semitones := i%13 - 6
			moved := tune.Transpose(tn, tune.Shift(tn.Bars[0].Key, semitones))
			text, _ := abc.Write(moved)
			read, _, err := abc.Read(text, "moved.abc")
			if err != nil || len(read) != 1 {
				t.Errorf("%s%d: %d tunes, %v", name, i+1, len(read), err)
				continue
			}
			from, to := tune.Sound(tn), tune.Sound(read[0])
			same := len(from) == len(to)
			for k := 0; same && k < len(from); k++ {
				same = from[k].At == to[k].At && from[k].Len == to[k].Len && from[k].Name.Key()+semitones == to[k].Name.Key()
			}
			if !same {
				t.Errorf("%s%d %q moved by %d does not sound so:\n%s", name, i+1, tn.Title, semitones, text)
			}
			for b := range moved.Bars {
				for k, c := range moved.Bars[b].Chords {
					chords++
					if got := read[0].Bars[b].Chords[k]; !reflect.DeepEqual(got.Chord, c.Chord) {
						t.Errorf("%s%d %q: the chord %q moved by %d is %q: %v, read again %v", name, i+1, tn.Title, tn.Bars[b].Chords[k].Text, semitones, c.Text, c.Chord, got.Chord)
					}
				}
			}
			compared++
		}
	}
	if compared != 616 || chords < 10_000 {
		t.Errorf("%d tunes with %d chord symbols compared", compared, chords)
	}
}
