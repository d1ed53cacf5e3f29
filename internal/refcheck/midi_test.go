package refcheck

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"gitlab.com/gomidi/midi/v2/smf"
	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/notation/midi"
	"lapwright/notation/musicxml"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// soundText returns what a tune sounds, one text a note: onset, length, key.
func soundText(t *tune.Tune) []string {
	var out []string
	for _, s := range tune.Sound(t) {
		out = append(out, fmt.Sprintf("%s+%s=%d", s.At, s.Len, s.Name.Key()))
	}
	slices.Sort(out)
	return out
}

func heardTexts(f *midi.File) []string {
	var out []string
	for _, h := range f.Sounding() {
		out = append(out, fmt.Sprintf("%s+%s=%d", h.At, h.Len, h.Key))
	}
	slices.Sort(out)
	return out
}

// firstDifference names where two sorted lists part.
func firstDifference(got, want []string) string {
	for i := range max(len(got), len(want)) {
		switch {
		case i >= len(got):
			return fmt.Sprintf("missing %s", want[i])
		case i >= len(want):
			return fmt.Sprintf("extra %s", got[i])
		case got[i] != want[i]:
			return fmt.Sprintf("got %s, want %s", got[i], want[i])
		}
	}
	return ""
}

// TestMIDITunes writes every tune of the corpus, reads it back, and makes a
// tune of it again: the same notes at the same times, without a rounding.
func TestMIDITunes(t *testing.T) {
	n := 0
	for name, book := range tuneBooks(t) {
		for _, in := range book {
			where := fmt.Sprintf("%s %d %q", name, in.Index, in.Title)
			b, losses, err := midi.EncodeTune(in)
			if err != nil || len(losses) > 0 {
				t.Errorf("%s: %v %v", where, err, losses)
				continue
			}
			f, err := midi.Read(b, name)
			if err != nil || len(f.Warnings) > 0 {
				t.Errorf("%s: %v %v", where, err, f.Warnings)
				continue
			}
			want := soundText(in)
			if d := firstDifference(heardTexts(f), want); d != "" {
				t.Errorf("%s: heard in the file: %s", where, d)
			}
			im, err := f.Tune(midi.Options{})
			if err != nil {
				t.Errorf("%s: %v", where, err)
				continue
			}
			if d := firstDifference(soundText(im.Tune), want); d != "" {
				t.Errorf("%s: made into a tune again (grid %s): %s", where, im.Grid, d)
			}
			if len(im.Moved) > 0 {
				t.Errorf("%s: %d notes moved, the first in bar %d", where, len(im.Moved), im.Moved[0].BarNumber)
			}
			n++
		}
	}
	if n < 600 {
		t.Fatalf("only %d tunes", n)
	}
	t.Logf("%d tunes", n)
}

// corpusTabs returns every tune of the corpus on one rig each, the built-in rigs
// taken in turn. The tabs are copies: tests may change strokes and plucks.
func corpusTabs(t *testing.T) []*tab.Tab {
	t.Helper()
	corpusOnce.Do(func() {
		rigs, tunes := rig.Builtins(), corpusTunes(t)
		for i, in := range tunes {
			made := arrangedAsIs(tunes, i, rigs[len(corpusMade)%len(rigs)])
			if made.err != nil {
				t.Errorf("%s: %v", in.Title, made.err)
				continue
			}
			corpusMade = append(corpusMade, made.res.Tab)
		}
	})
	if len(corpusMade) < 600 {
		t.Fatalf("only %d tabs", len(corpusMade))
	}
	out := make([]*tab.Tab, len(corpusMade))
	for i, tb := range corpusMade {
		c := *tb
		c.Strokes = slices.Clone(tb.Strokes)
		for j := range c.Strokes {
			c.Strokes[j].Plucks = slices.Clone(c.Strokes[j].Plucks)
		}
		out[i] = &c
	}
	return out
}

var (
	corpusOnce sync.Once
	corpusMade []*tab.Tab
)

// theirFile is what node/midi.cjs prints.
type theirFile struct {
	Division int        `json:"division"`
	Format   int        `json:"format"`
	Notes    [][6]int64 `json:"notes"`
	Bends    [][4]int64 `json:"bends"`
	Tempos   [][2]int64 `json:"tempos"`
	Meters   [][3]int64 `json:"meters"`
	Keys     [][3]int64 `json:"keys"`
}

// readWithNode reads files with the npm library midi-file.
func readWithNode(t *testing.T, files []string) []theirFile {
	t.Helper()
	dir := NodeTools(t, "midi-file")
	cmd := exec.Command("node", append([]string{filepath.Join(dir, "midi.cjs")}, files...)...)
	cmd.Dir = dir
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("node midi.cjs: %v\n%s", err, stderr.String())
	}
	var out []theirFile
	for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		var f theirFile
		if err := json.Unmarshal([]byte(line), &f); err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	if len(out) != len(files) {
		t.Fatalf("node read %d of %d files", len(out), len(files))
	}
	return out
}

// ourNotes and theirNotes bring both readings to one form.
func ourNotes(f *midi.File) []string {
	var out []string
	for i, tr := range f.Tracks {
		for _, n := range tr.Notes {
			out = append(out, fmt.Sprint(i+1, n.Channel, n.Key, n.Velocity, n.At, n.Len))
		}
	}
	slices.Sort(out)
	return out
}

func theirNotes(f theirFile) []string {
	var out []string
	for _, n := range f.Notes {
		out = append(out, fmt.Sprint(n[0], n[1], n[2], n[3], n[4], n[5]))
	}
	slices.Sort(out)
	return out
}

// TestMIDIAgainstMidiFile compares notes and bends of tabs that we write, and
// the notes of files made elsewhere, with the npm library midi-file 1.2.4.
func TestMIDIAgainstMidiFile(t *testing.T) {
	dir := t.TempDir()
	var files []string
	var ours []*midi.File
	bends := 0
	var tabs []*tab.Tab
	for i, tb := range corpusTabs(t) {
		if i%10 == 0 {
			tabs = append(tabs, tb)
		}
	}
	for i, tb := range tabs {
		if i%3 == 0 {
			withGlides(tb)
		}
		b, _, err := midi.Encode(tb)
		if err != nil {
			t.Fatalf("%s on %s: %v", tb.Tune.Title, tb.Rig.Name, err)
		}
		name := filepath.Join(dir, fmt.Sprintf("%03d.mid", i))
		if err := os.WriteFile(name, b, 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	elsewhere, err := filepath.Glob(filepath.Join(Reference(t, "tunes", "melody-midi"), "*.mid"))
	if err != nil || len(elsewhere) < 600 {
		t.Fatalf("%d files made elsewhere: %v", len(elsewhere), err)
	}
	for i := 0; i < len(elsewhere); i += 5 {
		files = append(files, elsewhere[i])
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := midi.Read(b, name)
		if err != nil {
			t.Fatal(err)
		}
		ours = append(ours, f)
	}
	theirs := readWithNode(t, files)
	for i, name := range files {
		if d := firstDifference(ourNotes(ours[i]), theirNotes(theirs[i])); d != "" {
			t.Errorf("%s: %s", filepath.Base(name), d)
		}
		if theirs[i].Division != ours[i].Division.PPQ || theirs[i].Format != ours[i].Format {
			t.Errorf("%s: division %d and format %d, ours %+v and %d", name, theirs[i].Division, theirs[i].Format, ours[i].Division, ours[i].Format)
		}
		if i >= len(tabs) {
			continue
		}
		// Every bend of a sounding note: the library gives 14 bits about 0, of
		// which 8192 are 48 semitones.
		at := map[[2]int64]int64{}
		for _, b := range theirs[i].Bends {
			at[[2]int64{b[1], b[2]}] = b[3]
		}
		for _, tr := range ours[i].Tracks {
			for _, n := range tr.Notes {
				for _, b := range n.Bends {
					bends++
					want, ok := at[[2]int64{int64(n.Channel), b.At}]
					if got := b.Semitones / 48 * 8192; !ok || math.Abs(got-float64(want)) > 0.01 {
						t.Fatalf("%s: bend at %d on channel %d: got %.2f, want %d (there: %v)", name, b.At, n.Channel, got, want, ok)
					}
				}
			}
		}
	}
	if bends < 1000 {
		t.Errorf("only %d bends compared", bends)
	}
	t.Logf("%d tabs, %d files made elsewhere, %d bends", len(tabs), len(files)-len(tabs), bends)
}

// withGlides makes a glide of every pluck that another on the same string
// follows without a gap in the same bar.
func withGlides(tb *tab.Tab) {
	for i := range tb.Strokes {
		st := &tb.Strokes[i]
		if i == 0 || st.BarIndex != tb.Strokes[i-1].BarIndex || len(st.Plucks) != 1 || len(tb.Strokes[i-1].Plucks) != 1 {
			continue
		}
		from, to := &tb.Strokes[i-1].Plucks[0], &st.Plucks[0]
		if from.String == to.String && from.Fret > 0 && to.Fret > 0 && from.Fret != to.Fret && tb.Strokes[i-1].At+from.Len == st.At && to.Attack == tab.Picked {
			from.Glide, to.Attack = true, tab.Glided
		}
	}
}

// TestMIDITabs writes tabs, reads them back and makes tunes of them: what is
// heard is what the tab sounds (tab.Sounding, which works from strings and
// frets), glides included.
func TestMIDITabs(t *testing.T) {
	notes := 0
	for i, tb := range corpusTabs(t) {
		if i%2 == 0 {
			withGlides(tb)
		}
		where := fmt.Sprintf("%s on %s", tb.Tune.Title, tb.Rig.Name)
		// That something is added can't be said in a file and is told; nothing else is lost.
		told := 0
		if len(tb.Added) > 0 {
			told = 1
		}
		b, losses, err := midi.Encode(tb)
		if err != nil || len(losses) != told {
			t.Errorf("%s: %v %v, %d added", where, err, losses, len(tb.Added))
			continue
		}
		f, err := midi.Read(b, "tab.mid")
		if err != nil || len(f.Warnings) > 0 {
			t.Errorf("%s: %v %v", where, err, f.Warnings)
			continue
		}
		want := soundText(tab.Sounding(tb))
		notes += len(want)
		if d := firstDifference(heardTexts(f), want); d != "" {
			t.Errorf("%s: heard in the file: %s", where, d)
		}
		im, err := f.Tune(midi.Options{})
		if err != nil {
			t.Errorf("%s: %v", where, err)
			continue
		}
		if d := firstDifference(soundText(im.Tune), want); d != "" {
			t.Errorf("%s: made into a tune again: %s", where, d)
		}
		// One string, one channel.
		for _, n := range f.Tracks[1].Notes {
			if n.Channel < 2 || n.Channel > 1+len(tb.Rig.Strings)+1 {
				t.Errorf("%s: a note on channel %d", where, n.Channel)
			}
		}
	}
	if notes < 100_000 {
		t.Errorf("only %d notes", notes)
	}
	t.Logf("%d notes", notes)
}

// TestMIDIAgainstGomidi compares the notes of files made elsewhere and of our
// own with gitlab.com/gomidi/midi/v2 v2.3.16, files it is known to read.
func TestMIDIAgainstGomidi(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(Reference(t, "tunes", "melody-midi"), "*.mid"))
	if err != nil || len(files) < 600 {
		t.Fatalf("%d files: %v", len(files), err)
	}
	compare := func(name string, b []byte) {
		f, err := midi.Read(b, name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		s, err := smf.ReadFrom(bytes.NewReader(b))
		if err != nil {
			t.Errorf("%s: gomidi: %v", name, err)
			return
		}
		var want []string
		for i, tr := range s.Tracks {
			at := int64(0)
			type open struct{ at, velocity int64 }
			sounding := map[[2]uint8][]open{}
			for _, e := range tr {
				at += int64(e.Delta)
				var ch, key, vel uint8
				switch {
				case e.Message.GetNoteStart(&ch, &key, &vel):
					sounding[[2]uint8{ch, key}] = append(sounding[[2]uint8{ch, key}], open{at, int64(vel)})
				case e.Message.GetNoteEnd(&ch, &key):
					q := sounding[[2]uint8{ch, key}]
					if len(q) > 0 {
						want = append(want, fmt.Sprint(i+1, ch+1, key, q[0].velocity, q[0].at, at-q[0].at))
						sounding[[2]uint8{ch, key}] = q[1:]
					}
				}
			}
		}
		slices.Sort(want)
		if d := firstDifference(ourNotes(f), want); d != "" {
			t.Errorf("%s: %s", filepath.Base(name), d)
		}
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		compare(name, b)
	}
	n := 0
	for _, book := range tuneBooks(t) {
		for _, in := range book {
			b, err := midi.WriteTune(in)
			if err != nil {
				t.Fatal(err)
			}
			compare(in.Title, b)
			n++
		}
	}
	t.Logf("%d files made elsewhere, %d of ours", len(files), n)
}

// TestRandomTabs places random tunes on random rigs and takes the tabs through
// MIDI, back to tunes, and through MusicXML, back to tabs.
func TestRandomTabs(t *testing.T) {
	rigs := rig.Builtins()
	tried, whole, same, glides := 0, 0, 0, 0
	rapid.Check(t, func(r *rapid.T) {
		in := tunetest.With(tunetest.Options{MaxBars: 3, MaxVoices: 1}).Draw(r, "tune")
		res, err := arrange.Arrange(t.Context(), in, rapid.SampledFrom(rigs).Draw(r, "rig"), arrange.Options{})
		if err != nil {
			return // nothing to play, or nothing that can be played
		}
		tb := res.Tab
		tried++
		for i := range tb.Strokes {
			for j := range tb.Strokes[i].Plucks {
				if tb.Strokes[i].Plucks[j].Glide {
					glides++
				}
			}
		}
		b, losses, err := midi.Encode(tb)
		if err != nil {
			r.Fatal(err)
		}
		f, err := midi.Read(b, "tab.mid")
		if err != nil || len(f.Warnings) > 0 {
			r.Fatal(err, f.Warnings)
		}
		// With compromises a string may be let go early and a grace may be missing,
		// which moves others; tab.Sounding keeps the written lengths.
		want, got := heardAs(tab.Sounding(tb)), heardTexts(f)
		if d := firstDifference(got, want); d != "" && len(losses)+len(tb.Compromises) == 0 {
			r.Fatalf("heard in the MIDI file: %s", d)
		}
		if len(tb.Compromises) == 0 && len(want) > 0 {
			whole++
			im, err := f.Tune(midi.Options{})
			if err != nil {
				r.Fatal(err)
			}
			if len(im.Moved) == 0 {
				same++
				if d := firstDifference(heardAs(im.Tune), want); d != "" && len(losses) == 0 {
					r.Fatalf("made into a tune again: %s", d)
				}
			}
		}
		s, err := musicxml.Read(must(musicxml.Write(tb)), "tab.musicxml")
		if err != nil {
			r.Fatal(err)
		}
		p, err := s.Part("")
		if err != nil || len(p.Fingers) == 0 {
			return // a tab of compromises alone
		}
		again, _, err := p.Tab(nil)
		if err != nil {
			r.Fatal(err)
		}
		if d := gocmp.Diff(playedStrokes(tb), playedStrokes(again)); d != "" {
			r.Fatalf("MusicXML: strokes (-written +read)\n%s", d)
		}
	})
	t.Logf("%d tabs, %d without compromises (%d of them with nothing moved on the way back), %d glides", tried, whole, same, glides)
	if tried < 50 || same < 5 {
		t.Errorf("only %d tabs, %d of them without compromises", tried, whole)
	}
}

func must(b []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return b
}

// playedStrokes leaves out strokes at which nothing is played: nothing in a
// score says where the bar lies then.
func playedStrokes(t *tab.Tab) []tab.Stroke {
	return slices.DeleteFunc(slices.Clone(t.Strokes), func(s tab.Stroke) bool { return len(s.Plucks) == 0 })
}

// heardAs returns what a tune sounds as a MIDI file has it: a glide to the same
// pitch is one longer note.
func heardAs(t *tune.Tune) []string {
	sounded := tune.Sound(t)
	gone := map[int]bool{}
	var out []string
	for i, s := range sounded {
		if gone[i] {
			continue
		}
		end := s.At + s.Len
		last := s
		for last.GlideTo >= 0 && sounded[last.GlideTo].At == end && sounded[last.GlideTo].Name.Key() == s.Name.Key() && !gone[last.GlideTo] {
			gone[last.GlideTo] = true
			last = sounded[last.GlideTo]
			end = last.At + last.Len
		}
		out = append(out, fmt.Sprintf("%s+%s=%d", s.At, end-s.At, s.Name.Key()))
	}
	slices.Sort(out)
	return out
}
