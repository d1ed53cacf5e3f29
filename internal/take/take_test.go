package take

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/flac"
)

// about is what a page says of a take.
func about(t testing.TB) report.SavedTake {
	t.Helper()
	g, ok := rig.Builtin("lap6-c6")
	if !ok {
		t.Fatal("no such rig")
	}
	return report.SavedTake{
		Version: 1, Lesson: Digest([]byte("lesson")), Block: Digest([]byte("tune")), Tab: Digest([]byte("tab")), Rig: string(rig.Format(g)),
		Tuned: "equal", Bars: &[2]int{3, 4}, Speed: 80, Grade: "second", Day: "2026-11-30", Name: "Wren",
		Along: &report.Along{Rounds: []report.AlongRound{{At: 2.5, From: 1, To: 9, Speed: 0.8}}},
	}
}

// sounded is a FLAC file of one channel.
func sounded(t testing.TB) []byte {
	t.Helper()
	b, err := flac.Write(&sound.Audio{Channels: [][]float32{sound.Tones([]pitch.Hz{196}).Channels[0][:4800]}})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// packed is an archive of files, name and bytes in turn.
func packed(t testing.TB, files ...any) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for i := 0; i < len(files); i += 2 {
		w, err := z.Create(files[i].(string))
		if err == nil {
			_, err = w.Write(files[i+1].([]byte))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// text is a take's JSON after a change to it.
func text(t testing.TB, change func(*report.SavedTake)) []byte {
	t.Helper()
	a := about(t)
	change(&a)
	b, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func same(*report.SavedTake) {}

func TestRead(t *testing.T) {
	s, err := Read(packed(t, "take.json", text(t, same), "take.flac", sounded(t)), "wren.take.zip")
	if err != nil {
		t.Fatal(err)
	}
	if s.Name != "Wren" || s.On.Name != "lap6-c6" || s.Bars[1] != 4 || s.Along.Rounds[0].To != 9 || s.Along.Delay != nil || len(s.Sound.Channels) != 1 || len(s.Sound.Channels[0]) != 4800 {
		t.Errorf("read as %+v", s.SavedTake)
	}
}

// hostile are files that nobody's page saved, and what is said of each.
func hostile(t testing.TB) map[string][]byte {
	good, flac := text(t, same), sounded(t)
	long := bytes.Clone(flac)
	long[8+13] |= 15 // says it has 2^36 samples
	stereo := bytes.Clone(flac)
	stereo[8+12] |= 2
	more := bytes.Clone(flac)
	more[8+16], more[8+17] = 0, 9 // and has 4800
	with := func(change func(*report.SavedTake)) []byte {
		return packed(t, "take.json", text(t, change), "take.flac", flac)
	}
	whole := packed(t, "take.json", good, "take.flac", flac)
	spoilt := bytes.Clone(whole)
	spoilt[len(spoilt)/2] ^= 0x55
	return map[string][]byte{
		"no whole ZIP archive":           whole[:len(whole)-30],
		"it is no whole ZIP archive":     []byte("hello"),
		"holds take.json and take.flac":  packed(t, "take.json", good),
		"take.flac and nothing else":     packed(t, "take.json", good, "take.flac", flac, "../../etc/passwd", []byte("x")),
		"and take.flac and nothing":      packed(t, "take.json", good, "take.json", good),
		"longer than the 128 kB":         packed(t, "take.json", bytes.Repeat([]byte(" "), 1<<20), "take.flac", flac),
		"take.json: this can't be read:": packed(t, "take.json", []byte("{"), "take.flac", flac),
		`unknown field "device"`:         packed(t, "take.json", []byte(`{"device":"mine",`+string(good[1:])), "take.flac", flac),
		"form 2, and form 1":             with(func(s *report.SavedTake) { s.Version = 2 }),
		"take.json, tab: this is no dig": with(func(s *report.SavedTake) { s.Tab = "abc" }),
		"take.json, block: this is no d": with(func(s *report.SavedTake) { s.Block = strings.ToUpper(s.Block) }),
		"take.json, lesson: this is no ": with(func(s *report.SavedTake) { s.Lesson = "" }),
		"take.json, grade":               with(func(s *report.SavedTake) { s.Grade = "ninth" }),
		"take.json, tuned":               with(func(s *report.SavedTake) { s.Tuned = "loud" }),
		"take.json, speed":               with(func(s *report.SavedTake) { s.Speed = 0 }),
		"take.json, bars":                with(func(s *report.SavedTake) { s.Bars = &[2]int{4, 3} }),
		"take.json, day":                 with(func(s *report.SavedTake) { s.Day = "yesterday" }),
		"take.json, name":                with(func(s *report.SavedTake) { s.Name = "a\x00b" }),
		"up to 60 letters":               with(func(s *report.SavedTake) { s.Name = strings.Repeat("w", 61) }),
		"take.json, along: \"0\" is not": with(func(s *report.SavedTake) { s.Along = &report.Along{} }),
		"is no stretch of music":         with(func(s *report.SavedTake) { s.Along.Rounds[0].To = 1 }),
		"the speed \"0\" is not from":    with(func(s *report.SavedTake) { s.Along.Rounds[0].Speed = 0 }),
		"a delay of \"0.7\" seconds":     with(func(s *report.SavedTake) { s.Along.Delay = new(float64); *s.Along.Delay = 0.7 }),
		"take.json, rig":                 with(func(s *report.SavedTake) { s.Rig = "scale = twelve" }),
		"take.flac: this is no FLAC":     packed(t, "take.json", good, "take.flac", []byte("RIFF")),
		"up to 10 minutes long":          packed(t, "take.json", good, "take.flac", long),
		`"2" channels`:                   packed(t, "take.json", good, "take.flac", stereo),
		"goes on after the 9 samples":    packed(t, "take.json", good, "take.flac", more),
		"take.flac: ":                    packed(t, "take.json", good, "take.flac", flac[:len(flac)-5]),
		"save the take again":            spoilt,
	}
}

func TestHostileFilesAreOneClearError(t *testing.T) {
	for want, b := range hostile(t) {
		s, err := Read(b, "wren.take.zip")
		var f *fault.Fault
		if s != nil || !errors.As(err, &f) || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "wren.take.zip: ") || strings.Contains(err.Error(), "\n") {
			t.Errorf("want an error that says %q: %v", want, err)
		}
	}
}

// A small archive that unpacks to gigabytes is read no farther than the bound.
func TestBombIsNotUnpacked(t *testing.T) {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	w, err := z.Create("take.json")
	if err == nil {
		_, err = w.Write(text(t, same))
	}
	if err == nil {
		w, err = z.Create("take.flac")
	}
	if err == nil {
		_, err = io.CopyN(w, zeros{}, maxSound+2)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Read(out.Bytes(), "x"); err == nil || !strings.Contains(err.Error(), "take.flac: this is longer than the 131072 kB that are read") {
		t.Errorf("of %d bytes: %v", out.Len(), err)
	}
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) {
	clear(b)
	return len(b), nil
}

func FuzzRead(f *testing.F) {
	f.Add(packed(f, "take.json", text(f, same), "take.flac", sounded(f)))
	for _, b := range hostile(f) {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Read(b, "x")
		if (s == nil) == (err == nil) {
			t.Fatalf("%v, %v", s, err)
		}
		if err == nil && (s.On == nil || len(s.Sound.Channels[0]) == 0 || len(s.Sound.Channels[0]) > int(MaxSeconds*s.Sound.Rate)) {
			t.Fatalf("read as %+v", s.SavedTake)
		}
	})
}

// FuzzAbout spoils what is said of a take, which check sums keep from a fuzzer of whole archives.
func FuzzAbout(f *testing.F) {
	f.Add(text(f, same))
	f.Add([]byte(`{"version":1,"bars":null}`))
	flac := sounded(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Read(packed(t, "take.json", b, "take.flac", flac), "x")
		if (s == nil) == (err == nil) {
			t.Fatalf("%v, %v", s, err)
		}
	})
}
