package tabtext

import (
	"testing"

	"pgregory.net/rapid"
)

func BenchmarkFormat(b *testing.B) {
	t := rapid.Custom(randomTab).Example(5)
	text := Format(t)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		Format(t)
	}
}

func BenchmarkParseExact(b *testing.B) {
	t := rapid.Custom(randomTab).Example(5)
	text := Format(t)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, _, err := Parse(text, "b.txt", t.Rig); err != nil {
			b.Fatal(err)
		}
	}
}
