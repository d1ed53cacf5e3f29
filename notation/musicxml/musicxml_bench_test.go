package musicxml

import (
	"strings"
	"testing"

	"lapwright/notation/abc"
)

// halfMegabyte is a score of ours of at least 500 kB.
func halfMegabyte(b *testing.B) []byte {
	var out []byte
	for bars := 100; len(out) < 500_000; bars += 100 {
		tunes, _, err := abc.Read([]byte("X:1\nT:Harbour Street Waltz\nM:4/4\nL:1/4\nK:G\n"+strings.Repeat("G,^A,DB,|\n", bars)), "long.abc")
		if err != nil {
			b.Fatal(err)
		}
		if out, err = WriteTune(tunes[0]); err != nil {
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
