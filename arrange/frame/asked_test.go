package frame

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/tune"
)

func noted(t testing.TB, s string) pitch.Name {
	t.Helper()
	n, err := pitch.ParseName(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// Any is the phrase of those made for the kind of tune, or else for any, that asks least of
// the player, note by note.
func TestAnyIsTheEasiest(t *testing.T) {
	ctx := context.Background()
	laterWins := false
	for _, src := range []string{"M:4/4\nK:G", "R:song\nM:4/4\nK:G", "R:rag\nM:4/4\nK:D", "M:3/4\nK:Em", "R:blues\nM:4/4\nK:Em", "M:6/8\nK:G"} {
		in := abctest.Tune(t, "X:1\n"+src+"\nG4|")
		for _, name := range []string{"lap6-c6", "reso-open-g", "pedal10-e9"} {
			r := rigtest.Builtin(t, name)
			judged, err := Judge(ctx, in, r, arrange.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range Kinds() {
				var first, best *Phrase
				least := math.Inf(1)
				made := slices.ContainsFunc(judged, func(j Judged) bool { return j.Kind == k && j.suits(in.Rhythm) })
				for _, j := range judged {
					if j.Kind != k || made != j.suits(in.Rhythm) || !made && j.Suits != nil {
						continue
					}
					if first == nil {
						first = j.Phrase
					}
					if !j.Plays {
						t.Errorf("%s %s can't be played on %s", k, j.Name, name)
					}
					if j.Cost < least {
						best, least = j.Phrase, j.Cost
					}
				}
				if first == nil {
					continue
				}
				laterWins = laterWins || best != first
				var any Names
				any[k] = Any
				got, err := Choose(ctx, in, r, arrange.Options{}, any)
				if err != nil || got[k] != best {
					t.Errorf("%q on %s: %v, %v; want %s %s", src, name, got[k], err, k, best.Name)
				}
				if got, err = Choose(ctx, in, nil, arrange.Options{}, any); err != nil || got[k] != first {
					t.Errorf("%q without a rig: %v, %v; want %s %s", src, got[k], err, k, first.Name)
				}
			}
		}
	}
	if !laterWins {
		t.Error("the first phrase is always the easiest, which tells nothing")
	}
}

// A phrase costs what the arranger asks for it alone, by note, with the capo where it is.
func TestCost(t *testing.T) {
	ctx := context.Background()
	r := rigtest.Builtin(t, "reso-open-g")
	if !r.Capo.Clamp {
		t.Fatal("the rig has no capo that clamps")
	}
	in := abctest.Tune(t, "X:1\nM:4/4\nK:A\nA4|")
	for _, p := range All(Ending)[:3] {
		alone, err := Alone(in, p)
		if err != nil {
			t.Fatal(err)
		}
		for _, capo := range []*int{nil, new(2)} {
			at := capo
			if at == nil {
				at = &r.Capo.At
			}
			res, err := arrange.Arrange(ctx, alone, r, arrange.Options{Capo: at})
			if err != nil {
				t.Fatal(err)
			}
			want := res.Cost / float64(len(res.Tab.Strokes))
			if got, err := Cost(ctx, in, r, arrange.Options{Capo: capo}, p); err != nil || got != want {
				t.Errorf("%s: %g, %v; want %g", p.Name, got, err, want)
			}
		}
	}
	if got, err := Cost(ctx, in, r, arrange.Options{Capo: new(99)}, All(Ending)[0]); err == nil {
		t.Errorf("with a capo beyond the neck it costs %g", got)
	}
	done, end := context.WithCancel(ctx)
	end()
	if _, err := Judge(done, in, r, arrange.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("judged when nobody waits: %v", err)
	}
}

// The phrases as a book: each a tune with its kind and name, numbered.
func TestBook(t *testing.T) {
	in := abctest.Tune(t, "X:1\nT:Quay\nM:4/4\nL:1/4\nK:G\nGABd|G4|]\n")
	book, err := Book(in)
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, k := range Kinds() {
		for _, p := range Fitting(k, in) {
			want = append(want, fmt.Sprintf("%d %s: %s", len(want)+1, k, p.Name))
		}
	}
	var got []string
	for _, b := range book {
		got = append(got, fmt.Sprintf("%d %s", b.Index, b.Title))
	}
	if !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if _, err := Book(abctest.Tune(t, "X:1\nT:Quay\nM:5/4\nK:G\nG4|")); err == nil || err.Error() != `no phrase fits "Quay"` {
		t.Errorf("in 5/4: %v", err)
	}
}

// What is made for a kind of tune is told first, then what goes with any, then the rest.
func TestFittingOrder(t *testing.T) {
	for _, rhythm := range []string{"", "waltz", "Swing", "blues"} {
		in := abctest.Tune(t, "X:1\nR:"+rhythm+"\nM:4/4\nK:G\nG4|")
		for _, k := range Kinds() {
			rank := 0
			for _, p := range Fitting(k, in) {
				now := 2
				if rhythm != "" && slices.Contains(p.Suits, strings.ToLower(rhythm)) {
					now = 0
				} else if len(p.Suits) == 0 {
					now = 1
				}
				if now < rank {
					t.Errorf("for %q the %s %s comes too late", rhythm, k, p.Name)
				}
				rank = max(rank, now)
			}
		}
	}
}

// A phrase that is written wrong is no phrase.
func TestFaultyPhrases(t *testing.T) {
	for text, want := range map[string]string{
		"1":             `"1" is no note`,
		"1:x":           `"1:x" is no note`,
		"1:0":           `"1:0" is no note`,
		"1:8 | 2:4":     "bar 2 ends at 3/2, not at 2",
		"1:4 | 2:4 3:4": "bar 1 ends at 1/2, not at 1",
	} {
		p := &Phrase{Kind: Ending, Name: "odd", Beats: 4, Unit: 4, Modes: major, Text: text}
		if _, _, err := p.read(); err == nil || !strings.HasPrefix(err.Error(), "ending odd: ") || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
		if _, err := Alone(abctest.Tune(t, "X:1\nM:4/4\nK:G\nG4|"), p); err == nil {
			t.Errorf("%q is set all the same", text)
		}
	}
}

// Degrees by name, octaves counted from the tonic (theory).
func TestDegrees(t *testing.T) {
	for _, c := range []struct {
		tonic, degree string
		octave        int
		want          string
	}{
		{"D4", "1", 0, "D4"}, {"D4", "3", 0, "F#4"}, {"D4", "b3", 0, "F4"}, {"D4", "7", 0, "C#5"}, {"D4", "b7", 0, "C5"},
		{"D4", "5", -1, "A3"}, {"D4", "1", 1, "D5"}, {"Bb3", "4", 0, "Eb4"}, {"Bb3", "2", 1, "C5"}, {"F#4", "7", -1, "E#4"}, {"G4", "#5", 0, "D#5"},
	} {
		x := item{degree: c.degree, octave: c.octave}
		if got, err := x.name(noted(t, c.tonic)); err != nil || got.String() != c.want {
			t.Errorf("degree %s of %s, octave %d: %s, %v; want %s", c.degree, c.tonic, c.octave, got, err, c.want)
		}
	}
}

// A phrase lies in the octave whose tonic is nearest to the tune's notes beside it: an intro
// to the first, an ending to the last. Of two as near it is the lower.
func TestRegister(t *testing.T) {
	for _, c := range []struct{ src, intro, ending string }{
		{"M:4/4\nL:1/4\nK:G\nGABd|g4|]", "G4", "G5"},
		{"M:4/4\nL:1/4\nK:G\ngdBA|G4|]", "G5", "G4"},
		{"M:4/4\nL:1/4\nK:C\nBcde|C4|]", "C5", "C4"},
		{"M:4/4\nL:1/4\nK:B\nCDEF|=c4|]", "B3", "B4"},
		{"M:4/4\nL:1/4\nK:F#\n=cdef|=C4|]", "F#4", "F#3"},
		{"M:4/4\nL:1/4\nK:G\nz4|gdBG|z4|]", "G5", "G4"},
		{"M:4/4\nL:1/4\nK:G\nz4|z4|]", "G3", "G3"},
		{"M:4/4\nL:1/4\nK:G\n!chop!dg2g|G,3!chop!d|]", "G5", "G3"},
		{"M:4/4\nL:1/4\nK:G\nGABg|gdBG|]", "G4", "G4"},
	} {
		in := abctest.Tune(t, "X:1\n"+c.src+"\n")
		for k, want := range map[Kind]string{Intro: c.intro, Ending: c.ending} {
			// Its tonic alone, so that its pitch tells the octave.
			p := &Phrase{Kind: k, Name: "tonic", Beats: 4, Unit: 4, Modes: major, Text: "[1] 1:8"}
			alone, err := Alone(in, p)
			if err != nil {
				t.Fatal(err)
			}
			if got := alone.Bars[0].Lines[0][0].Notes[0].Name.String(); got != want {
				t.Errorf("%q: the %s is on %s, want %s", c.src, k, got, want)
			}
		}
	}
}

// What is written around a tune: its tempo goes to the intro, but for one within the first
// bar; the first repeat is opened where it must be; lines part and close.
func TestWritten(t *testing.T) {
	line := map[tune.BarlineStyle]string{tune.SingleBarline: "|", tune.DoubleBarline: "||", tune.FinalBarline: "|]"}
	lines := func(f *Framed) string {
		var out []string
		for _, b := range f.Tune.Bars {
			s := line[b.Right.Style]
			if b.Left.Repeat > 0 {
				s = "|:" + s
			}
			if b.Right.Repeat > 0 {
				s = ":|"
			}
			out = append(out, s)
		}
		return strings.Join(out, " ")
	}
	for _, c := range []struct{ src, intro, turnaround, ending, lines string }{
		{"GABd|G4|]", "lead-in", "", "", "| || | |]"},
		{"GABd|G4|]", "lead-in", "", "walk-down", "| || | || | |]"},
		{"GABd|G4|]", "", "one-four-one-five", "", "| || | |]"},
		{"GABd|G4|]", "", "one-four-one-five", "walk-down", "| || | || | |]"},
		{"GABd|G4:|", "lead-in", "", "", "| || |:| :|"},
		{"|:GABd:|:G4:|", "lead-in", "", "walk-down", "| || :| :| | |]"},
		{"GABd|]", "", "", "walk-down", "|| | |]"},
	} {
		f, err := Put(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=100\nK:G\n"+c.src+"\n"), set(t, c.intro, c.turnaround, c.ending))
		if err != nil {
			t.Fatal(err)
		}
		if got := lines(f); got != c.lines {
			t.Errorf("%q with %q, %q and %q: %s, want %s", c.src, c.intro, c.turnaround, c.ending, got, c.lines)
		}
	}
	f, err := Put(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nQ:1/4=100\nK:G\nGA[Q:1/4=80]Bd|G4|]\n"), set(t, "lead-in", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	head, own := f.Tune.Bars[0].Tempos, f.Tune.Bars[f.Own].Tempos
	if len(head) != 1 || head[0].PerMinute != 100_000 || len(own) != 1 || own[0].PerMinute != 80_000 || own[0].At != tune.Whole/2 {
		t.Errorf("the intro goes at %v, the first bar at %v", head, own)
	}
	// The word stands where the ending begins to sound, not over the rest that fills up a bar.
	f, err = Put(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nD|GABd|G3|]\n"), set(t, "", "one-four-one-five", "walk-down"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range f.Parts {
		for i := p.From; i < p.To; i++ {
			b := &f.Tune.Bars[i]
			if first := i == p.From+1; first != (len(b.Texts) == 1 && b.Texts[0].Text == p.Phrase.Kind.String()) || rests(b) != (i == p.From) {
				t.Errorf("bar %d of the %s bears %v", i-p.From+1, p.Phrase.Kind, b.Texts)
			}
		}
	}
}

// Notes that go over a barline of the tune are tied, and chord symbols stand where they
// begin, once.
func TestPhraseInSmallBars(t *testing.T) {
	p := &Phrase{Kind: Ending, Name: "long", Beats: 4, Unit: 4, Modes: major, Text: "[1] 3:2 [4] 4:4 [1] 3:2 | [57] 2:4 [1] 1:4"}
	alone, err := Alone(abctest.Tune(t, "X:1\nM:2/4\nL:1/4\nK:G\nGA|G2|]\n"), p)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, b := range alone.Bars {
		var bar []string
		for _, c := range b.Chords {
			bar = append(bar, fmt.Sprintf("%s@%s", c.Text, c.At))
		}
		for _, e := range b.Lines[0] {
			s := e.Notes[0].Name.String() + ":" + e.Len.String()
			if e.Notes[0].Tie {
				s += "-"
			}
			bar = append(bar, s)
		}
		got = append(got, strings.Join(bar, " "))
	}
	want := "G@0 C@1/4 B4:1/4 C5:1/4- | G@1/4 C5:1/4 B4:1/4 | D7@0 A4:1/2 | G@0 G4:1/2"
	if s := strings.Join(got, " | "); s != want {
		t.Errorf("%s, want %s", s, want)
	}
	// A pickup takes its time from the end of what comes before, and nothing is tied into it.
	f, err := Put(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nV:1\nD|GABd|G3|]\nV:2\nz|G,4|G,3|]\n"), Set{Intro: &Phrase{Kind: Intro, Name: "long", Beats: 4, Unit: 4, Modes: major, Text: "[1] 1:8"}})
	if err != nil {
		t.Fatal(err)
	}
	b := f.Tune.Bars[0]
	if e := b.Lines[0][0]; b.Len != 3*tune.Whole/4 || e.Len != b.Len || e.Notes[0].Tie {
		t.Errorf("before the pickup: %+v in a bar of %s", e, b.Len)
	}
	// Other voices rest: for what is left of the bar by its length, for a full one as such.
	if e := b.Lines[1][0]; e.Kind != tune.Rest || e.Value.BarRest {
		t.Errorf("the second voice before the pickup: %+v", e)
	}
	f, err = Put(abctest.Tune(t, "X:1\nM:4/4\nL:1/4\nK:G\nV:1\nGABd|G4|]\nV:2\nG,4|G,4|]\n"), set(t, "lead-in", "", ""))
	if err != nil {
		t.Fatal(err)
	}
	if e := f.Tune.Bars[0].Lines[1][0]; e.Kind != tune.Rest || !e.Value.BarRest {
		t.Errorf("the second voice in a full bar: %+v", e)
	}
}

// Pins keep to the bars that they are for; one without an end stays so.
func TestPinsMove(t *testing.T) {
	f := &Framed{Shift: 2}
	got := f.Pins([]arrange.Pin{{FromBarNumber: 1, ToBarNumber: 3}, {FromBarNumber: 4}})
	if len(got) != 2 || got[0].FromBarNumber != 3 || got[0].ToBarNumber != 5 || got[1].FromBarNumber != 6 || got[1].ToBarNumber != 0 {
		t.Errorf("%+v", got)
	}
}

// Nothing asked for is None; what is refused is a fault that the command can print.
func TestNames(t *testing.T) {
	if !(Names{}).None() || (Names{Ending: Any}).None() {
		t.Error("None is wrong")
	}
	var f *fault.Fault
	if _, err := Choose(context.Background(), abctest.Tune(t, "X:1\nM:4/4\nK:G\nG4|"), nil, arrange.Options{}, Names{Ending: "coda"}); !errors.As(err, &f) {
		t.Errorf("%T", err)
	}
}
