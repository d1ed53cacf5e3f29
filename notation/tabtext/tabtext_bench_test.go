package tabtext

import (
	"os"
	"testing"

	"lapwright/rig"

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

func BenchmarkParseLoose(b *testing.B) {
	src, err := os.ReadFile("testdata/wild/02-no-names.txt")
	if err != nil {
		b.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	b.SetBytes(int64(len(src)))
	for b.Loop() {
		if _, _, err := Parse(src, "b.txt", r); err != nil {
			b.Fatal(err)
		}
	}
}
