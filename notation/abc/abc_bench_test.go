package abc

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// book1000 is a book of 1,000 tunes: those of the witness folder, which must
// be there, over again.
func book1000(b *testing.B) []byte {
	root := filepath.Join("..", "..", "third_party", "witness")
	files, err := filepath.Glob(filepath.Join(root, "tunes", "*.abc"))
	if err != nil || len(files) == 0 {
		b.Fatalf("no tune books under %s: %v", root, err)
	}
	var tunes [][]byte
	for _, path := range files {
		src, err := os.ReadFile(path)
		if err != nil {
			b.Fatal(err)
		}
		src = bytes.ReplaceAll(src, []byte("\r\n"), []byte("\n"))
		for i, part := range bytes.Split(src, []byte("\nX:")) {
			if i > 0 {
				part = append([]byte("X:"), part...)
			}
			if part = bytes.TrimSpace(part); len(part) > 0 {
				tunes = append(tunes, append(part, "\n\n"...))
			}
		}
	}
	var out bytes.Buffer
	for i := range 1000 {
		out.Write(tunes[i%len(tunes)])
	}
	return out.Bytes()
}

func BenchmarkReadBook(b *testing.B) {
	src := book1000(b)
	b.SetBytes(int64(len(src)))
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		tunes, _, err := Read(src, "book.abc")
		if err != nil {
			b.Fatal(err)
		}
		n = len(tunes)
	}
	b.ReportMetric(float64(n), "tunes")
}

func BenchmarkWriteBook(b *testing.B) {
	tunes, _, err := Read(book1000(b), "book.abc")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		for _, t := range tunes {
			Write(t)
		}
	}
}
