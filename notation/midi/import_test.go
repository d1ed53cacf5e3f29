package midi

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// played is one note of a made-up performance, in ticks.
type played struct {
	at, end  int
	ch, key  int
	velocity int
}

// performance makes a track of notes.
func performance(name string, notes ...played) string {
	type event struct {
		at, order int
		bytes     string
	}
	var events []event
	for _, n := range notes {
		events = append(events,
			event{n.at, 1, string([]byte{0x90 | byte(n.ch-1), byte(n.key), 0x50})},
			event{n.end, 0, string([]byte{0x80 | byte(n.ch-1), byte(n.key), 0x40})})
	}
	slices.SortStableFunc(events, func(a, b event) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return a.order - b.order
	})
	out := "\x00\xff\x03" + string([]byte{byte(len(name))}) + name
	at := 0
	for _, e := range events {
		out += string(appendVar(nil, uint32(e.at-at))) + e.bytes
		at = e.at
	}
	return out + endTrack
}

// TestQuantise plays eighths, a triplet and sixteenths with 12 ms of unrest and
// wants them back on the grid: the way every player's recording comes.
func TestQuantise(t *testing.T) {
	// 480 ticks a quarter; 12 ticks of unrest either way.
	want := []int{0, 240, 480, 640, 800, 960, 1080, 1200, 1320, 1440, 1920, 2400, 2560, 2720, 2880, 3360}
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 1))
		var notes []played
		for i, at := range want {
			end := 3840
			if i+1 < len(want) {
				end = want[i+1]
			}
			notes = append(notes, played{max(at+r.IntN(25)-12, 0), end + r.IntN(25) - 14, 1, 60 + i, 80})
		}
		f, err := Read(smf(0, 480, performance("take", notes...)), "take.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(Options{})
		if err != nil {
			t.Fatal(err)
		}
		if im.Grid != "1/16 notes and triplets of 1/8 notes" {
			t.Errorf("seed %d: grid %q", seed, im.Grid)
		}
		var got []int
		for _, s := range tune.Sound(im.Tune) {
			got = append(got, int(s.At*1920/tune.Whole))
		}
		if !slices.Equal(got, want) {
			t.Errorf("seed %d: onsets %v, want %v", seed, got, want)
		}
		if len(im.Moved) < len(want)/2 || len(im.Moved) > len(want) {
			t.Errorf("seed %d: %d of %d notes said to be moved", seed, len(im.Moved), len(want))
		}
		for _, m := range im.Moved {
			if f := m.By.Float(); f > 13.0/1920 || f < -13.0/1920 {
				t.Errorf("seed %d: an onset moved by %s of a whole note", seed, m.By)
			}
		}
	}
}

// TestAsWritten: times on a grid are taken as they stand, odd tuplets too.
func TestAsWritten(t *testing.T) {
	var notes []played
	for i := range 5 {
		notes = append(notes, played{i * 96, i*96 + 96, 1, 60 + i, 80}) // five in a quarter of 480
	}
	notes = append(notes, played{480, 1920, 1, 70, 80})
	f, err := Read(smf(0, 480, performance("x", notes...)), "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	im, err := f.Tune(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if im.Grid != "as written" || len(im.Moved) > 0 {
		t.Errorf("grid %q, %d moved", im.Grid, len(im.Moved))
	}
	e := im.Tune.Bars[0].Lines[0][0]
	if len(e.Tuplets) != 1 || e.Tuplets[0] != (tune.Tuplet{Actual: 5, Normal: 4, Starts: true}) || e.Value.Log2 != 4 {
		t.Errorf("the first note is written %+v in %+v", e.Value, e.Tuplets)
	}
	// On a grid of eighths the five become what fits.
	im, err = f.Tune(Options{Grid: 8})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range tune.Sound(im.Tune) {
		if s.At%(tune.Whole/8) != 0 && s.At%(tune.Whole/12) != 0 {
			t.Errorf("an onset at %s is on no grid", s.At)
		}
	}
	if _, err := f.Tune(Options{Grid: 7}); err == nil || !strings.Contains(err.Error(), "a grid of 1/7 is not among") {
		t.Errorf("a grid of 7: %v", err)
	}
}

// band is a file of bass, chords, melody and drums.
func band() []byte {
	var bass, chords, melody, drums []played
	for i := range 16 {
		at := i * 96
		bass = append(bass, played{at, at + 96, 2, 40 + i%5, 80})
		drums = append(drums, played{at, at + 48, 10, 36, 80})
		melody = append(melody, played{at, at + 96, 1, 67 + i%7, 80})
		if i%4 == 0 {
			for _, k := range []int{55, 59, 62} {
				chords = append(chords, played{at, at + 384, 3, k, 80})
			}
		}
	}
	return smf(1, 96, performance("Slipway Reel"), performance("bass", bass...), performance("organ", chords...), performance("piece", melody...), performance("kit", drums...))
}

func TestMelody(t *testing.T) {
	f, err := Read(band(), "band.mid")
	if err != nil {
		t.Fatal(err)
	}
	im, err := f.Tune(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if im.Track != 4 || im.Notes != 16 || im.Why != "of 4 instruments the likeliest melody" || im.Tune.Title != "Slipway Reel" {
		t.Errorf("track %d with %d notes, %s, titled %q", im.Track, im.Notes, im.Why, im.Tune.Title)
	}
	if n := len(im.Warnings); n != 5 { // three instruments, the missing meter and the missing key
		t.Errorf("%d warnings: %v", n, im.Warnings)
	}
	im, err = f.Tune(Options{Track: 3})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(im.Tune.Bars[0].Lines[0][0].Notes); n != 3 || len(im.Tune.Voices) != 1 {
		t.Errorf("chords of %d notes in %d voices, want 3 in 1", n, len(im.Tune.Voices))
	}
	for _, c := range []struct {
		o    Options
		want string
	}{
		{Options{Track: 9}, "band.mid: there is no track 9; the file has 5"},
		{Options{Track: 1}, "band.mid: track 1 has no notes"},
		{Options{Track: 2, Channel: 7}, "band.mid: track 2 has no notes on channel 7"},
	} {
		if _, err := f.Tune(c.o); err == nil || err.Error() != c.want {
			t.Errorf("%+v: got %v, want %s", c.o, err, c.want)
		}
	}
}

// TestOverlaps: a melody whose notes run a little into each other stays one
// voice; a held note under moving ones gets a second.
func TestOverlaps(t *testing.T) {
	legato := smf(0, 96, performance("x", played{0, 100, 1, 60, 80}, played{96, 200, 1, 62, 80}, played{192, 300, 1, 64, 80}, played{288, 384, 1, 65, 80}))
	held := smf(0, 96, performance("x", played{0, 384, 1, 48, 80}, played{0, 96, 1, 60, 80}, played{96, 192, 1, 62, 80}, played{192, 384, 1, 64, 80}))
	for name, c := range map[string]struct {
		in     []byte
		grid   int
		voices int
		want   string
	}{
		"legato": {legato, 16, 1, "0+1/4=60 1/4+1/4=62 1/2+1/4=64 3/4+1/4=65"},
		"held":   {held, 0, 2, "0+1/4=60 0+1=48 1/4+1/4=62 1/2+1/2=64"},
	} {
		f, err := Read(c.in, "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(Options{Grid: c.grid})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, s := range tune.Sound(im.Tune) {
			got = append(got, fmt.Sprintf("%s+%s=%d", s.At, s.Len, s.Name.Key()))
		}
		if g := strings.Join(got, " "); g != c.want || len(im.Tune.Voices) != c.voices {
			t.Errorf("%s: %s in %d voices, want %s in %d", name, g, len(im.Tune.Voices), c.want, c.voices)
		}
	}
}

// TestBendsBecomeGlides: a bend under a ringing note to another pitch is a
// glide; into a note, a scoop; vibrato is neither.
func TestBendsBecomeGlides(t *testing.T) {
	bend := func(delta int, semitones float64) string {
		v := min(8192+int(semitones*4096), 16383)
		return string(appendVar(nil, uint32(delta))) + string([]byte{0xe0, byte(v & 127), byte(v >> 7)})
	}
	glide := "\x00\x90\x3c\x40" + bend(60, 0.4) + bend(6, 0.8) + bend(6, 1.2) + bend(6, 1.6) + bend(18, 2) + "\x60\x80\x3c\x40"
	scoop := bend(0, -1) + "\x00\x90\x3c\x40" + bend(4, -0.7) + bend(4, -0.4) + bend(4, -0.1) + bend(4, 0) + "\x50\x80\x3c\x40"
	shake := "\x00\x90\x3c\x40"
	for i := range 20 {
		shake += bend(4, []float64{0.2, 0.25, 0, -0.2, -0.25}[i%5])
	}
	shake += bend(4, 0) + "\x0c\x80\x3c\x40"
	for name, c := range map[string]struct{ in, want string }{
		"glide": {glide, "C4~ D4"}, "scoop": {scoop, "C4(-1)"}, "vibrato": {shake, "C4"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range im.Tune.Bars[0].Lines[0] {
			if e.Kind != tune.Sounding || e.Notes[0].Tie {
				continue // of tied notes the last is looked at
			}
			s := e.Notes[0].Name.String()
			if e.Notes[0].Scoop != 0 {
				s += fmt.Sprintf("(%d)", e.Notes[0].Scoop)
			}
			if e.Notes[0].Glide {
				s += "~"
			}
			got = append(got, s)
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: got %s, want %s", name, g, c.want)
		}
	}
}

// TestPickup: a short first bar with a meter of its own is a pickup, and a short
// last one makes up for it.
func TestPickup(t *testing.T) {
	b := tunetest.Quarters(0, "D4")
	b.Len, b.Meter = tune.Whole/4, tune.Meter{Beats: 3, Unit: 4}
	full := tunetest.Quarters(1, "G4", "A4", "B4")
	full.Len, full.Meter = 3*tune.Whole/4, tune.Meter{Beats: 3, Unit: 4}
	last := tunetest.Quarters(2, "G4", "D4")
	last.Len, last.Meter = tune.Whole/2, tune.Meter{Beats: 3, Unit: 4}
	in := tunetest.Song(b, full, last)
	data, err := WriteTune(in)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(data, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	im, err := f.Tune(Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range in.Bars {
		got := im.Tune.Bars[i]
		if got.Number != want.Number || got.Len != want.Len || got.Meter.Beats != 3 || got.Meter.Unit != 4 {
			t.Errorf("bar %d: number %d, length %s, meter %d/%d", i, got.Number, got.Len, got.Meter.Beats, got.Meter.Unit)
		}
	}
}

// TestLosses: what a file can't hold is listed by bar.
func TestLosses(t *testing.T) {
	b := tunetest.Quarters(1, "G3", "A3", "D4", "B3")
	b.Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 1000}}
	b.Key.Signature, b.Key.Own = [7]int8{0, 0, 0, 1, 0, 0, -1}, true
	_, losses, err := EncodeTune(tunetest.Song(b))
	if err != nil {
		t.Fatal(err)
	}
	all := fmt.Sprint([]error{losses[0], losses[1]})
	for _, want := range []string{"slower than a MIDI file can say", "bar 1: the key signature mixes accidentals"} {
		if !strings.Contains(all, want) {
			t.Errorf("losses %v lack %q", losses, want)
		}
	}
	var sevenths, ninths []tune.Event
	for i := range 17 * 13 {
		l := tune.Whole / (17 * 13)
		sevenths = append(sevenths, tune.Event{At: tune.Ticks(i) * l, Len: l, Value: tune.Value{Log2: 0}, Notes: tunetest.Quarters(1, "G3").Lines[0][0].Notes,
			Tuplets: []tune.Tuplet{{Actual: 17, Normal: 1}, {Actual: 13, Normal: 1}}})
	}
	for i := range 11 * 25 {
		l := tune.Whole / (11 * 25)
		ninths = append(ninths, tune.Event{At: tune.Ticks(i) * l, Len: l, Value: tune.Value{Log2: 0}, Notes: tunetest.Quarters(1, "G3").Lines[0][0].Notes})
	}
	odd, odder := tunetest.Quarters(1, "G3"), tunetest.Quarters(2, "G3")
	odd.Lines[0], odder.Lines[0] = sevenths, ninths
	_, losses, err = EncodeTune(tunetest.Song(odd, odder))
	if err != nil {
		t.Fatal(err)
	}
	if len(losses) < 400 || !strings.Contains(losses[0].Error(), "bar 1: the note at 1/221 from the start is rounded to the nearest of 30240 ticks a quarter") {
		t.Errorf("%d losses, the first %v", len(losses), losses[0])
	}
}
