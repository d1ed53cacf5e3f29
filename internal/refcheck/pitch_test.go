package refcheck

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lapwright/pitch"
)

// rowsOf reads a CSV file below the witness folder, without its heading.
func rowsOf(t *testing.T, parts ...string) [][]string {
	t.Helper()
	b, err := os.ReadFile(Reference(t, parts...))
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%v has no rows", parts)
	}
	return rows[1:]
}

func figure(t *testing.T, s string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// ISO 16:1975 fixes A4 at 440 Hz; the table is computed apart from this
// program and printed to a millionth of a hertz.
func TestFrequencies(t *testing.T) {
	rows := rowsOf(t, "values", "et_a440.csv")
	for _, row := range rows {
		n, err := pitch.ParseName(row[1])
		if err != nil {
			t.Errorf("%v: %v", row, err)
			continue
		}
		if key := int(figure(t, row[0])); n.Key() != key {
			t.Errorf("%s is key number %d; want %d", row[1], n.Key(), key)
		}
		if got, want := float64(n.Hz(pitch.StandardA)), figure(t, row[2]); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s sounds %.6f Hz; want %.6f", row[1], got, want)
		}
		if got := pitch.KeyOf(pitch.Hz(figure(t, row[2])), pitch.StandardA); math.Abs(got-float64(n.Key())) > 1e-6 {
			t.Errorf("%s Hz is key number %.6f; want %d", row[2], got, n.Key())
		}
	}
	t.Logf("%d pitches", len(rows))
}

// Sizes of just intervals, computed apart from this program.
func TestJustIntervals(t *testing.T) {
	named := map[pitch.Just]pitch.Interval{
		{Num: 1, Den: 1}: pitch.Unison, {Num: 16, Den: 15}: pitch.MinorSecond, {Num: 9, Den: 8}: pitch.MajorSecond,
		{Num: 6, Den: 5}: pitch.MinorThird, {Num: 5, Den: 4}: pitch.MajorThird, {Num: 4, Den: 3}: pitch.PerfectFourth,
		{Num: 45, Den: 32}: pitch.AugFourth, {Num: 3, Den: 2}: pitch.PerfectFifth, {Num: 8, Den: 5}: pitch.MinorSixth,
		{Num: 5, Den: 3}: pitch.MajorSixth, {Num: 9, Den: 5}: pitch.MinorSeventh, {Num: 15, Den: 8}: pitch.MajorSeventh,
		{Num: 2, Den: 1}: pitch.Octave,
	}
	seen := 0
	for _, row := range rowsOf(t, "values", "just_intervals.csv") {
		num, den, ok := strings.Cut(row[0], "/")
		if !ok {
			t.Fatalf("%v: no ratio", row)
		}
		j := pitch.Just{Num: int(figure(t, num)), Den: int(figure(t, den))}
		if got, want := float64(j.Cents()), figure(t, row[1]); math.Abs(got-want) > 1e-6 {
			t.Errorf("%s is %.6f cents; want %.6f", row[0], got, want)
		}
		if iv, ok := named[j]; ok {
			seen++
			if got, _ := pitch.JustInterval(iv); got != j {
				t.Errorf("the just %v is %v; want %v", iv, got, j)
			}
		}
	}
	if seen != len(named) {
		t.Errorf("%d of %d named intervals stand in the table", seen, len(named))
	}
	seventh, err := pitch.ParseChord("G7")
	if err != nil {
		t.Fatal(err)
	}
	// 7/4 = 968.826 cents, from the same table.
	if got := float64(seventh.Just(seventh.Tones[3], pitch.Harmonic).Cents()); math.Abs(got-968.825906) > 1e-6 {
		t.Errorf("the harmonic seventh is %.6f cents", got)
	}
}

// witnessQualities pairs our canonical qualities with the names that the npm
// library "tonal" 6.4.3 has for the same chord.
var witnessQualities = []struct{ ours, theirs string }{
	{"", "M"}, {"m", "m"}, {"dim", "dim"}, {"aug", "aug"}, {"5", "5"},
	{"6", "6"}, {"m6", "m6"}, {"6/9", "6/9"}, {"m6/9", "m69"},
	{"7", "7"}, {"maj7", "maj7"}, {"m7", "m7"}, {"mMaj7", "mMaj7"}, {"m7b5", "m7b5"}, {"dim7", "dim7"},
	{"7#5", "7#5"}, {"7b5", "7b5"}, {"maj7#5", "maj7#5"}, {"maj7b5", "M7b5"}, {"m7#5", "m7#5"}, {"dimMaj7", "oM7"},
	{"9", "9"}, {"maj9", "maj9"}, {"m9", "m9"}, {"mMaj9", "mM9"}, {"9#5", "9#5"}, {"9b5", "9b5"}, {"m9b5", "m9b5"}, {"maj9#5", "maj9#5"},
	{"11", "11"}, {"m11", "m11"},
	{"13", "13"}, {"maj13", "maj13"}, {"m13", "m13"},
	{"7b9", "7b9"}, {"7#9", "7#9"}, {"7#11", "7#11"}, {"7b13", "7b13"}, {"7#5b9", "7#5b9"}, {"7#5#9", "7#5#9"}, {"7b9b13", "7b9b13"},
	{"9#11", "9#11"}, {"9b13", "9b13"}, {"13#11", "13#11"}, {"13b9", "13b9"}, {"13#9", "13#9"}, {"7b9#11", "7b9#11"}, {"7#9#11", "7#9#11"},
	{"maj7#11", "maj7#11"}, {"maj9#11", "maj9#11"},
	{"sus2", "sus2"}, {"sus4", "sus4"}, {"sus24", "sus24"}, {"7sus4", "7sus4"}, {"9sus4", "9sus4"}, {"13sus4", "13sus4"}, {"7sus4b9", "7b9sus4"},
	{"maj7sus4", "M7sus4"},
	{"add9", "add9"}, {"madd9", "madd9"}, {"madd4", "madd4"}, {"7add6", "7add6"},
}

// witnessDiffers names the qualities where the witness has a custom of its own,
// and how its chord becomes ours.
var witnessDiffers = map[string]func(ours, theirs []pitch.Class) bool{
	// It spells the raised fifth as a flat sixth: the same sound.
	"m7#5": func(ours, theirs []pitch.Class) bool { return slices.Equal(semitones(ours), semitones(theirs)) },
	// It leaves out the fifth beneath a flat thirteenth.
	"7b13": withoutFifth, "9b13": withoutFifth,
}

func withoutFifth(ours, theirs []pitch.Class) bool {
	fifth := ours[0].Up(pitch.PerfectFifth)
	ours = slices.DeleteFunc(slices.Clone(ours), func(c pitch.Class) bool { return c == fifth })
	return slices.Equal(semitones(ours), semitones(theirs))
}

func semitones(in []pitch.Class) []int {
	var out []int
	for _, c := range in {
		out = append(out, c.Semitone())
	}
	slices.Sort(out)
	return out
}

var witnessRoots = []string{"C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B", "Cb"}

// Spellings of chords, scales, keys and intervals against the npm library
// "tonal" 6.4.3 (MIT), run by node.
func TestTheory(t *testing.T) {
	dir := NodeTools(t, "tonal")
	type ask struct {
		Chords    [][2]string `json:"chords"`
		Scales    []string    `json:"scales"`
		Intervals [][2]string `json:"intervals"`
		Keys      []string    `json:"keys"`
		Names     []string    `json:"names"`
		Detect    [][]string  `json:"detect"`
	}
	var q ask
	for _, root := range witnessRoots {
		for _, w := range witnessQualities {
			q.Chords = append(q.Chords, [2]string{root, w.theirs})
		}
	}
	scaleRoots := []string{"C", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}
	theirScales := map[string]string{"natural minor": "aeolian", "blues": "minor blues"}
	for _, s := range pitch.Scales {
		name := s.Name
		if other, ok := theirScales[name]; ok {
			name = other
		}
		for _, root := range scaleRoots {
			q.Scales = append(q.Scales, root+" "+name)
		}
	}
	for _, a := range []string{"C4", "F#3", "Bb2", "E4", "Ab3"} {
		for _, b := range []string{"C4", "D4", "Eb4", "E4", "F4", "F#4", "Gb4", "G4", "G#4", "Ab4", "A4", "Bb4", "B4", "C5", "C#5", "E5", "F5"} {
			q.Intervals = append(q.Intervals, [2]string{a, b})
		}
	}
	for f := -7; f <= 7; f++ {
		q.Keys = append(q.Keys, pitch.ClassAtFifths(f).String())
	}
	for o := 0; o <= 8; o++ {
		for _, c := range []string{"C", "E#", "F#", "Gb", "B#", "Cb", "Bbb", "F##"} {
			q.Names = append(q.Names, c+strconv.Itoa(o))
		}
	}
	commonQualities := []string{"", "m", "7", "m7", "maj7", "6", "m6", "dim", "aug", "sus4", "dim7", "m7b5", "9", "13"}
	for _, root := range witnessRoots[:12] {
		for _, quality := range commonQualities {
			c, err := pitch.ParseChord(root + quality)
			if err != nil {
				t.Fatal(err)
			}
			q.Detect = append(q.Detect, classNames(c.Classes()))
		}
	}
	in, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "theory.cjs")
	cmd.Dir = dir
	cmd.Stdin = bytes.NewReader(in)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v\nnode 18 or later must be on the path", err)
	}
	var said struct {
		Chords, Scales        [][]string
		Intervals, Transposed []string
		MajorKeys, MinorKeys  []int
		Midi                  []int
		Detect                [][]string
	}
	if err := json.Unmarshal(out, &said); err != nil {
		t.Fatal(err)
	}

	for i, ask := range q.Chords {
		w := witnessQualities[i%len(witnessQualities)]
		c, err := pitch.ParseChord(ask[0] + bracketed(w.ours))
		if err != nil {
			t.Errorf("%s%s: %v", ask[0], w.ours, err)
			continue
		}
		if c.Quality != w.ours {
			t.Errorf("%s%s has quality %q", ask[0], w.ours, c.Quality)
		}
		theirs := said.Chords[i]
		if len(theirs) == 0 {
			t.Errorf("the witness does not know %q", w.theirs)
			continue
		}
		// Where a root is so sharp or flat that a tone would need a triple
		// accidental, we respell and they don't.
		if slices.ContainsFunc(theirs, func(s string) bool { return strings.Contains(s, "###") || strings.Contains(s, "bbb") }) {
			continue
		}
		if same, ok := witnessDiffers[w.ours]; ok {
			var parsed []pitch.Class
			for _, n := range theirs {
				k, err := pitch.ParseClass(n)
				if err != nil {
					t.Fatal(err)
				}
				parsed = append(parsed, k)
			}
			if !same(c.Classes(), parsed) {
				t.Errorf("%s is %v; the witness says %v, and not in the way that is known", c, c.Classes(), theirs)
			}
			continue
		}
		ours := classNames(c.Classes())
		slices.Sort(ours)
		theirs = slices.Clone(theirs)
		slices.Sort(theirs)
		if !slices.Equal(ours, theirs) {
			t.Errorf("%s is %v; the witness says %v", c, ours, theirs)
		}
	}
	for i, name := range q.Scales {
		s := pitch.Scales[i/len(scaleRoots)]
		root, err := pitch.ParseClass(scaleRoots[i%len(scaleRoots)])
		if err != nil {
			t.Fatal(err)
		}
		if got := classNames(s.On(root)); !slices.Equal(got, said.Scales[i]) {
			t.Errorf("%s is %v; the witness says %v", name, got, said.Scales[i])
		}
	}
	for i, pair := range q.Intervals {
		a, err := pitch.ParseName(pair[0])
		if err != nil {
			t.Fatal(err)
		}
		b, err := pitch.ParseName(pair[1])
		if err != nil {
			t.Fatal(err)
		}
		iv := pitch.From(a, b)
		if got := theirShort(iv); got != said.Intervals[i] {
			t.Errorf("from %v to %v is %s; the witness says %s", a, b, got, said.Intervals[i])
		}
		if up := a.Up(iv).String(); up != said.Transposed[i] {
			t.Errorf("%v up %s is %s; the witness says %s", a, iv.Short(), up, said.Transposed[i])
		}
	}
	for i, tonic := range q.Keys {
		c, err := pitch.ParseClass(tonic)
		if err != nil {
			t.Fatal(err)
		}
		major, err := pitch.NewKey(c, pitch.Major)
		if err != nil {
			t.Fatal(err)
		}
		if major.Fifths() != said.MajorKeys[i] {
			t.Errorf("%v has %d sharps; the witness says %d", major, major.Fifths(), said.MajorKeys[i])
		}
		if minor, err := pitch.NewKey(c, pitch.Minor); err == nil && minor.Fifths() != said.MinorKeys[i] {
			t.Errorf("%v has %d sharps; the witness says %d", minor, minor.Fifths(), said.MinorKeys[i])
		}
	}
	for i, name := range q.Names {
		n, err := pitch.ParseName(name)
		if err != nil {
			t.Fatal(err)
		}
		if said.Midi[i] != n.Key() {
			t.Errorf("%s is key number %d; the witness says %d", name, n.Key(), said.Midi[i])
		}
	}
	// What the witness calls a set of notes must be among our names, in any
	// way of writing it that our parser reads.
	checked := 0
	for i, notes := range q.Detect {
		var in []pitch.Class
		for _, n := range notes {
			c, err := pitch.ParseClass(n)
			if err != nil {
				t.Fatal(err)
			}
			in = append(in, c)
		}
		names := pitch.NameChord(in, in[0])
		if len(names) == 0 || len(said.Detect[i]) == 0 {
			t.Errorf("%v: we say %v, the witness %v", notes, names, said.Detect[i])
			continue
		}
		checked++
		first, err := pitch.ParseChord(said.Detect[i][0])
		if err != nil {
			t.Errorf("%v: the witness's name %q is not read: %v", notes, said.Detect[i][0], err)
			continue
		}
		if !names[0].Equal(first) {
			t.Errorf("%v is %v; the witness says %v", notes, names[0], first)
		}
	}
	t.Logf("%d chords, %d scales, %d intervals, %d sets of notes named", len(q.Chords), len(q.Scales), len(q.Intervals), checked)
}

// bracketed keeps a quality that begins with an accidental apart from its root.
func bracketed(q string) string {
	if strings.HasPrefix(q, "b") || strings.HasPrefix(q, "#") {
		return "(" + q + ")"
	}
	return q
}

// theirShort writes an interval as the witness does: the number first, falling
// intervals with a minus.
func theirShort(iv pitch.Interval) string {
	s := iv.Short()
	sign := ""
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		s, sign = rest, "-"
	}
	digits := strings.TrimLeft(s, "PMmAd")
	return sign + digits + s[:len(s)-len(digits)]
}

func classNames(in []pitch.Class) []string {
	out := make([]string, len(in))
	for i, c := range in {
		out[i] = c.String()
	}
	return out
}
