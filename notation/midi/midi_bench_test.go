package midi

import (
	"testing"

	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// longTune has a thousand bars of four notes, every other one a glide.
func longTune() *tune.Tune {
	t := tunetest.Song()
	for i := range 1000 {
		b := tunetest.Quarters(i+1, "G3", "A3", "D4", "B3")
		b.Lines[0][i%3].Notes[0].Glide = i%2 == 0
		t.Bars = append(t.Bars, b)
	}
	return t
}

func BenchmarkWriteTune(b *testing.B) {
	t := longTune()
	b.ReportAllocs()
	for b.Loop() {
		out, err := WriteTune(t)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(out)))
	}
}

func BenchmarkRead(b *testing.B) {
	in, err := WriteTune(longTune())
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(in)))
	b.ReportAllocs()
	for b.Loop() {
		f, err := Read(in, "x.mid")
		if err != nil {
			b.Fatal(err)
		}
		if _, err := f.Tune(Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
