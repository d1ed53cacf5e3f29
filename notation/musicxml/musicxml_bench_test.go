package musicxml

import (
	"testing"
)

// halfMegabyte is a score of ours of at least 500 kB.
func halfMegabyte(b *testing.B) []byte {
	t := song()
	var out []byte
	for len(out) < 500_000 {
		for range 100 {
			n := len(t.Bars)
			t.Bars = append(t.Bars, oneBar(n+1, "G3", "A#3", "D4", "B3"))
		}
		var err error
		if out, err = WriteTune(t); err != nil {
			b.Fatal(err)
		}
	}
	return out
}

// BenchmarkRead reads 500 kB of MusicXML into a tune.
func BenchmarkRead(b *testing.B) {
	in := halfMegabyte(b)
	b.SetBytes(int64(len(in)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read(in, "x.musicxml"); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkWrite writes the same.
func BenchmarkWrite(b *testing.B) {
	s, err := Read(halfMegabyte(b), "x.musicxml")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		out, err := WriteTune(s.Parts[0].Tune)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(out)))
	}
}
