package refcheck

import (
	gocmp "cmp"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
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

// TestMusicXMLValid validates every tune of the corpus, random tunes and a spread
// of tabs on all built-in rigs against the schema of MusicXML 4.0.
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
	for i, tb := range corpusTabs(t) {
		if i%8 != 0 {
			continue
		}
		if i%16 == 0 {
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
	for seed := range 150 {
		tn := tunetest.Tunes().Example(seed)
		tn.Swing = []tune.Swing{{}, tune.TripletSwing, tune.TempoSwing}[seed%3]
		b, err := musicxml.WriteTune(tn)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("random%03d.musicxml", seed)), b, 0o600); err != nil {
			t.Fatal(err)
		}
		n++
	}
	if n < 800 {
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
		if b.Right.Repeat > 0 && b.Right.Style == tune.FinalBarline {
			b.Right.Style = tune.SingleBarline
		}
		if b.Left.Repeat > 0 && b.Left.Style == tune.OpenBarline {
			b.Left.Style = tune.SingleBarline
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
	for i, in := range corpusTabs(t) {
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
	if plucks < 50_000 {
		t.Errorf("only %d plucks", plucks)
	}
	t.Logf("%d plucks", plucks)
}

// theirScore is what node/musicxml.cjs prints.
type theirScore struct {
	Parts [][][4]any `json:"parts"`
	Error string     `json:"error"`
}

// notSame lists the files of the suite whose music our reader gives otherwise
// than the second reading, or refuses, with the reason.
var notSame = map[string]string{
	"02a-Rests-Durations.xml":         "refused: a dotted 1024th is 3/2048 of a whole note, and a tune's time is divided down to 1/1024",
	"24c-GraceNote-MeasureEnd.xml":    "graces at the end of the last measure have no note to stand before and are left out, with a warning",
	"24d-AfterGrace.xml":              "the same",
	"32ad-Notations5.musicxml":        "refused: the file is no well-formed XML (a measure is closed by its part)",
	"33f-Trill-EndingOnGraceNote.xml": "graces at the end of the last measure, as above",
}

// writtenNotes returns the notes of a tune as written, repeats not unfolded, ties
// joined along each voice: "onset+length=key", graces as "grace=key".
func writtenNotes(t *tune.Tune) []string {
	type chain struct {
		at, end tune.Ticks
		key     int
	}
	var out []string
	for v := range t.Voices {
		var chains []*chain
		open := map[int]*chain{} // by index of the note in the event before
		var prev *tune.Event
		start := tune.Ticks(0)
		for i := range t.Bars {
			for k := range t.Bars[i].Lines[v] {
				e := &t.Bars[i].Lines[v][k]
				now := map[int]*chain{}
				for _, g := range e.Graces {
					for _, n := range g.Notes {
						out = append(out, fmt.Sprintf("grace=%d", n.Name.Key()))
					}
				}
				if e.Kind == tune.Sounding {
					for j, from := range tune.TiedFrom(prev, e) {
						if c := open[from]; from >= 0 && c != nil {
							c.end += e.Len
							now[j] = c
							continue
						}
						c := &chain{start + e.At, start + e.At + e.Len, e.Notes[j].Name.Key()}
						chains = append(chains, c)
						now[j] = c
					}
				}
				open, prev = now, e
			}
			start += t.Bars[i].Len
		}
		for _, c := range chains {
			out = append(out, fmt.Sprintf("%s+%s=%d", c.at, c.end-c.at, c.key))
		}
	}
	slices.Sort(out)
	return out
}

// suiteFiles returns every file of the suite and of the examples of the standard.
func suiteFiles(t *testing.T) []string {
	t.Helper()
	a, err := filepath.Glob(filepath.Join(Reference(t, "musicxml", "suite", "xmlFiles"), "*"))
	if err != nil || len(a) != 146 {
		t.Fatalf("the suite has %d files, want 146 (%v)", len(a), err)
	}
	b, err := filepath.Glob(filepath.Join(Reference(t, "musicxml", "w3c-examples", "full"), "*"))
	if err != nil || len(b) != 10 {
		t.Fatalf("there are %d examples, want 10 (%v)", len(b), err)
	}
	return append(a, b...)
}

// TestMusicXMLSuite reads the whole of an open MusicXML test suite and the whole
// examples of the standard. Every file imports or gives one clear error; onsets,
// lengths and pitches are compared with a second reading written apart
// (node/musicxml.cjs). What differs is listed with the reason.
func TestMusicXMLSuite(t *testing.T) {
	var plain, names []string
	for _, name := range suiteFiles(t) {
		if !strings.HasSuffix(name, ".mxl") {
			plain = append(plain, name)
		}
		names = append(names, name)
	}
	cmd := exec.Command("node", append([]string{filepath.Join(Root(t), "internal", "refcheck", "node", "musicxml.cjs")}, plain...)...)
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("node musicxml.cjs: %v", err)
	}
	theirs := map[string]theirScore{}
	for i, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		var s theirScore
		if err := json.Unmarshal([]byte(line), &s); err != nil {
			t.Fatal(err)
		}
		theirs[plain[i]] = s
	}
	same, refused, notes := 0, 0, 0
	dir := t.TempDir() // each part as we write it, to be validated
	seen := map[string]bool{}
	for _, path := range names {
		name := filepath.Base(path)
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, err := musicxml.Read(src, name)
		why, listed := notSame[name]
		seen[name] = listed
		if err != nil {
			refused++
			if !listed {
				t.Errorf("%s is refused: %v", name, err)
			}
			if !strings.HasPrefix(err.Error(), name+":") {
				t.Errorf("%s: the error does not say where: %v", name, err)
			}
			continue
		}
		for i, p := range s.Parts {
			b, err := musicxml.WriteTune(p.Tune)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%d.musicxml", name, i)), b, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if strings.HasSuffix(name, ".mxl") {
			continue
		}
		d := ""
		if theirs[path].Error != "" {
			d = "the second reading fails: " + theirs[path].Error
		} else if len(theirs[path].Parts) != len(s.Parts) {
			d = fmt.Sprintf("%d parts, want %d", len(s.Parts), len(theirs[path].Parts))
		}
		for i := 0; d == "" && i < len(s.Parts); i++ {
			var want []string
			for _, n := range theirs[path].Parts[i] {
				if n[3] == true {
					want = append(want, fmt.Sprintf("grace=%v", n[2]))
				} else {
					want = append(want, fmt.Sprintf("%v+%v=%v", n[0], n[1], n[2]))
				}
			}
			slices.Sort(want)
			notes += len(want)
			if d = firstDifference(writtenNotes(s.Parts[i].Tune), want); d != "" {
				d = fmt.Sprintf("part %d: %s", i+1, d)
			}
		}
		switch {
		case d != "" && !listed:
			t.Errorf("%s: %s", name, d)
		case d == "" && listed:
			t.Errorf("%s is listed (%s) and is the same", name, why)
		case d == "":
			same++
		}
	}
	validate(t, dir)
	for name := range notSame {
		if !seen[name] {
			t.Errorf("%s is listed and is not there", name)
		}
	}
	t.Logf("%d files: %d the same in every onset, length and pitch (%d notes), %d refused, %d listed", len(names), same, notes, refused, len(notSame))
	if same < 60 {
		t.Errorf("only %d files are the same, want 60", same)
	}
}

// TestMusicXMLByHand compares with figures worked out by hand from the files'
// own text: onset+length=key, in whole notes.
func TestMusicXMLByHand(t *testing.T) {
	for _, c := range []struct {
		path []string
		part int
		want string // the first notes, in order of onset
	}{
		{[]string{"suite", "xmlFiles", "90a-Compressed-MusicXML.mxl"}, 0, "0+1/4=61 1/4+1/4=61 1/2+1/4=61 3/4+1/4=61"},
		{[]string{"suite", "xmlFiles", "21a-Chord-Basic.xml"}, 0, "0+1/4=65 0+1/4=69"},
		{[]string{"suite", "xmlFiles", "33b-Spanners-Tie.xml"}, 0, "0+2=65"},
		// Triplet halves of 56 at 84 a quarter: a sixth of a whole note each.
		{[]string{"suite", "xmlFiles", "23a-Tuplets.xml"}, 0, "0+1/6=60 1/6+1/6=62 1/3+1/6=64 1/2+1/6=65 2/3+1/6=67 5/6+1/6=69"},
		// C4 for an instrument in E flat (up 3), then in B flat (down 2).
		{[]string{"suite", "xmlFiles", "72c-TransposingInstruments-Change.xml"}, 0, "0+1=63 1+1=58 2+1=58"},
		{[]string{"w3c-examples", "full", "score-timewise-element.musicxml"}, 0, "0+1=60"},
		{[]string{"w3c-examples", "full", "tutorial-hello-world.musicxml"}, 0, "0+1=60"},
		// Written an octave above what a guitar sounds.
		{[]string{"w3c-examples", "full", "tutorial-tablature.musicxml"}, 0, "0+1/4=60 1/4+1/4=62 1/2+1/8=63 5/8+1/8=62 3/4+1/4=60"},
		{[]string{"w3c-examples", "full", "tutorial-tablature.musicxml"}, 1, "0+1/4=60 1/4+1/4=62 1/2+1/8=63 5/8+1/8=62 3/4+1/4=60"},
	} {
		path := Reference(t, append([]string{"musicxml"}, c.path...)...)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, err := musicxml.Read(b, filepath.Base(path))
		if err != nil {
			t.Error(err)
			continue
		}
		sounded := tune.Sound(s.Parts[c.part].Tune)
		slices.SortStableFunc(sounded, func(a, b tune.Sounded) int {
			return gocmp.Or(gocmp.Compare(a.At, b.At), gocmp.Compare(a.Name.Key(), b.Name.Key()))
		})
		var got []string
		for _, n := range sounded[:min(len(sounded), len(strings.Fields(c.want)))] {
			got = append(got, fmt.Sprintf("%s+%s=%d", n.At, n.Len, n.Name.Key()))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s part %d: got %s, want %s", filepath.Base(path), c.part+1, g, c.want)
		}
	}
}

// TestMusicXMLTablatureExample reads the tablature of the standard's own
// tutorial: strings and frets as printed there, a standard guitar tuning.
func TestMusicXMLTablatureExample(t *testing.T) {
	b, err := os.ReadFile(Reference(t, "musicxml", "w3c-examples", "full", "tutorial-tablature.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := musicxml.Read(b, "tutorial-tablature.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Part("")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range p.Fingers {
		got = append(got, fmt.Sprintf("%d:%d", f.String, f.Fret))
	}
	if g := strings.Join(got, " "); g != "3:5 3:7 3:8 3:7 3:5" {
		t.Errorf("strings and frets %s", g)
	}
	if g := fmt.Sprint(p.Tuning); g != "[E4 B3 G3 D3 A2 E2]" {
		t.Errorf("tuning %s", g)
	}
}

// everyWay is a tab that plays in every way there is: straight, both slants,
// split, nose, open, benders before and during a note, glide, scoop, hammered,
// pulled off, harmonics, vibrato, damped, tied.
func everyWay(t *testing.T) *tab.Tab {
	t.Helper()
	base := rigtest.Builtin(t, "bender-open-d")
	r, err := base.WithCapo(2)
	if err != nil {
		t.Fatal(err)
	}
	g := steel.New(r)
	key, _ := pitch.NewKey(pitch.Class{Letter: pitch.E}, pitch.Major)
	out := &tab.Tab{Tune: &tune.Tune{Index: 1, Title: "Every way", Voices: []tune.Voice{{ID: "1"}}}, Rig: r, Transposed: -3}
	type way struct {
		place   steel.Placement
		benders rig.BenderSet
		plucks  []tab.Pluck
	}
	straight := func(first, last int8, fret float64) steel.Placement {
		return steel.Placement{Kind: steel.Straight, First: first, Last: last, FirstFret: fret, LastFret: fret}
	}
	ways := []way{
		{steel.Placement{}, 0, []tab.Pluck{{String: 1, Finger: tab.Middle}, {String: 4, Finger: tab.Thumb}}},
		{straight(1, 3, 5), 0, []tab.Pluck{{String: 1, Glide: true, Finger: tab.Middle}, {String: 3, Glide: true, Finger: tab.Index}}},
		{straight(1, 3, 7), 0, []tab.Pluck{{String: 1, Attack: tab.Glided}, {String: 3, Attack: tab.Glided}}},
		{steel.Placement{Kind: steel.Forward, First: 1, Last: 3, FirstFret: 6, LastFret: 5}, 0, []tab.Pluck{{String: 1}, {String: 2, Vibrato: true}, {String: 3, Damp: true}}},
		{steel.Placement{Kind: steel.Reverse, First: 1, Last: 3, FirstFret: 5, LastFret: 6}, 0, []tab.Pluck{{String: 1}, {String: 3}}},
		{steel.Placement{Kind: steel.Split, First: 1, Last: 3, FirstFret: 8, LastFret: 9}, 0, []tab.Pluck{{String: 1}, {String: 2}, {String: 3}}},
		{steel.Placement{Kind: steel.Nose, First: 2, Last: 2, FirstFret: 5, LastFret: 5}, 0, []tab.Pluck{{String: 1}, {String: 2, Scoop: -2}}},
		{straight(1, 4, 5), 1, []tab.Pluck{{String: 3}, {String: 4}}},
		{straight(1, 4, 5), 0, []tab.Pluck{{String: 2, Glide: true}}},
		{straight(1, 4, 5), 2, []tab.Pluck{{String: 2, Attack: tab.BentTo, Glide: true}}},
		{straight(1, 4, 5), 0, []tab.Pluck{{String: 2, Attack: tab.BentTo}}},
		{straight(1, 4, 7), 0, []tab.Pluck{{String: 2, Attack: tab.Hammered}}},
		{steel.Placement{}, 0, []tab.Pluck{{String: 2, Attack: tab.PulledOff}}},
		{steel.Placement{}, 0, []tab.Pluck{{String: 4, Attack: tab.Harmonic, Node: 2}}},
		{straight(1, 1, 3), 0, []tab.Pluck{{String: 1, Attack: tab.PalmHarmonic, Node: 2}}},
		{straight(1, 1, 3), 0, []tab.Pluck{{String: 1}}},
	}
	for i, w := range ways {
		if i%4 == 0 {
			out.Tune.Bars = append(out.Tune.Bars, tune.Bar{Number: i/4 + 1, Key: key, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: make([][]tune.Event, 1)})
		}
		b := &out.Tune.Bars[i/4]
		at := tune.Ticks(i%4) * tune.Whole / 4
		st := tab.Stroke{BarIndex: i / 4, At: at, Len: tune.Whole / 4, Placement: w.place, Benders: w.benders}
		e := tune.Event{At: at, Len: tune.Whole / 4, Value: tune.Value{Log2: 2}}
		for _, p := range w.plucks {
			p.Len = tune.Whole / 4
			p.Fret = g.Contact(w.place, p.String)
			if p.Attack == tab.Harmonic {
				p.Fret = tab.NodeFret(int(p.Node))
			}
			name := pitch.SpellKey(int(math.Round(tab.Key(g, &st, &p))), key.Fifths())
			e.Notes = append(e.Notes, tune.Note{Name: name, Glide: p.Glide, Scoop: int8(p.Scoop)})
			st.Plucks = append(st.Plucks, p)
		}
		order := make([]int, len(e.Notes))
		for j := range order {
			order[j] = j
		}
		slices.SortFunc(order, func(a, b int) int { return gocmp.Compare(e.Notes[a].Name.Key(), e.Notes[b].Name.Key()) })
		sorted := make([]tune.Note, len(e.Notes))
		for to, from := range order {
			sorted[to] = e.Notes[from]
			st.Plucks[from].Ref = tune.Ref{Bar: i / 4, Event: i % 4, Grace: -1, Note: to}
		}
		e.Notes = sorted
		b.Lines[0] = append(b.Lines[0], e)
		out.Strokes = append(out.Strokes, st)
	}
	if l := out.Tune.Check(); len(l) > 0 {
		t.Fatalf("the test's own tune is not valid: %v", l)
	}
	return out
}

// TestEveryWay takes the tab that plays in every way through MusicXML, which
// must validate and come back equal, and through MIDI, which must sound the same.
func TestEveryWay(t *testing.T) {
	in := everyWay(t)
	for _, f := range in.Check() {
		// Slants in this tab lie where they show their workings, not where they
		// are in tune; nothing else may be wrong with it.
		if !strings.Contains(f.Msg, "cents from") {
			t.Errorf("the test's own tab: %v", f)
		}
	}
	b, err := musicxml.Write(in)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "every.musicxml"), b, 0o600); err != nil {
		t.Fatal(err)
	}
	validate(t, dir)
	for _, want := range []string{"<harmonic>", "<natural/>", "<artificial/>", "<pre-bend/>", "<release/>", `<slide type="start"`, `<hammer-on type="stop"`, `<pull-off type="start"`, "<wavy-line", "<scoop/>", "<capo>2</capo>", "<pluck>p</pluck>", ">contact ", ">carry<", ">damp<", ">placement split 1@8 3@9<"} {
		if !strings.Contains(string(b), want) {
			t.Errorf("%s is missing from the score", want)
		}
	}
	s, err := musicxml.Read(b, "every.musicxml")
	if err != nil || len(s.Warnings) > 0 {
		t.Fatal(s, err)
	}
	got, warnings, err := s.Parts[0].Tab(nil)
	if err != nil || len(warnings) > 0 {
		t.Fatal(warnings, err)
	}
	if d := cmp.Diff(in.Strokes, got.Strokes); d != "" {
		t.Errorf("strokes (-written +read)\n%s", d)
	}
	if d := cmp.Diff(plain(in.Tune), plain(got.Tune)); d != "" {
		t.Errorf("tune (-written +read)\n%s", d)
	}
	m, losses, err := midi.Encode(in)
	if err != nil || len(losses) > 0 {
		t.Fatal(losses, err)
	}
	f, err := midi.Read(m, "every.mid")
	if err != nil || len(f.Warnings) > 0 {
		t.Fatal(err)
	}
	if d := firstDifference(heardTexts(f), soundText(tab.Sounding(in))); d != "" {
		t.Errorf("heard in the MIDI file: %s", d)
	}
}
