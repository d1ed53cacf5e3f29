package studio

import (
	"archive/zip"
	"bytes"
	"context"
	"testing"
)

// FuzzImport takes any list of a studio as an archive: it is refused with an
// error, or all of it is kept and comes out of Export again.
func FuzzImport(f *testing.F) {
	for _, list := range []string{
		``, `{}`, `[]`, `{"format":"lapwright studio","version":1}`,
		`{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"tune","created":"2026-01-01T00:00:00Z","current":1,"revisions":[{"number":1,"saved":"2026-01-01T00:00:00Z","why":"written","title":"a","file":"a","extra":{}}]}]}`,
		`{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"rig","current":2,"revisions":[{"number":1,"title":"a","file":"a"},{"number":2,"parent":1,"title":"b","file":"a","extra":{"x":[1]}}]}]}`,
		`{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"tune","current":-1,"revisions":[{"number":-1,"parent":9,"title":"","file":"../x"}]}]}`,
	} {
		f.Add([]byte(list), []byte("X:1\nK:C\n"))
	}
	dir := f.TempDir()
	s, err := Open(context.Background(), dir, ticking())
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { s.Close() })
	f.Fuzz(func(t *testing.T, list, body []byte) {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for name, content := range map[string][]byte{archiveList: list, "a": body} {
			w, err := z.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			w.Write(content)
		}
		z.Close()
		ctx := context.Background()
		got, err := s.Import(ctx, bytes.NewReader(b.Bytes()), int64(b.Len()))
		if err != nil {
			if got != nil {
				t.Fatalf("an error (%v) came with a result", err)
			}
			return
		}
		var out bytes.Buffer
		if err := s.Export(ctx, &out, WithoutTakes); err != nil {
			t.Fatalf("what was imported can't be exported: %v", err)
		}
		// It is all here already now.
		again, err := s.Import(ctx, bytes.NewReader(out.Bytes()), int64(out.Len()))
		if err != nil || len(again.Added)+len(again.Copied) != 0 {
			t.Fatalf("exported and imported again: %+v, %v", again, err)
		}
		for _, it := range append(got.Added, got.Copied...) {
			if err := s.Discard(ctx, it.ID); err == nil || err == ErrNone {
				s.Forget(ctx, it.ID)
			}
		}
	})
}
