package typed

import (
	"os"
	"testing"

	"lapwright/rig"
)

func BenchmarkParse(b *testing.B) {
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
