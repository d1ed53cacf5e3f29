package studio

import (
	"archive/zip"
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// machineWords are what the libraries that read an archive say.
var machineWords = regexp.MustCompile(`zip:|flate:|json:|EOF|invalid character|unmarshal|parsing time|cannot parse|checksum error|%!`)

// TestArchivesAreRefusedInPlainWords: whatever is broken in an archive, who brought
// it is told in our words where and how.
func TestArchivesAreRefusedInPlainWords(t *testing.T) {
	item := `{"format":"lapwright studio","version":1,"items":[{"id":"0123456789abcdef","kind":"tune","created":"2026-01-01T00:00:00Z","current":1,
	"revisions":[{"number":1,"saved":"2026-01-01T00:00:00Z","why":"written","title":"a","file":"t/1.abc","extra":{}}]}]}`
	// pack writes an archive with a list, and a body that is stored as it is.
	pack := func(list string) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, f := range []struct{ name, text string }{{archiveList, list}, {"t/1.abc", "X:1\nT:the body\nK:G\nG|\n"}} {
			w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Store})
			if err != nil {
				t.Fatal(err)
			}
			fmt.Fprint(w, f.text)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	change := func(old, new string) []byte {
		if !strings.Contains(item, old) {
			t.Fatalf("%q is not in the list", old)
		}
		return pack(strings.Replace(item, old, new, 1))
	}
	whole := pack(item)
	for _, c := range []struct {
		name    string
		archive []byte
		want    string
	}{
		{"no zip file", []byte("X:1\n"), "no zip file, or its end is missing"},
		{"a zip file that is broken off", whole[:len(whole)/2], "no zip file, or its end is missing"},
		{"a body that is not what it was", bytes.Replace(whole, []byte("the body"), []byte("THE BODY"), 1), `"t/1.abc" can't be unpacked: it is damaged`},
		{"a list that is not what it was", bytes.Replace(whole, []byte(`"written"`), []byte(`"WRITTEN"`), 1), "studio.json in the archive can't be read: it is damaged"},
		{"packed in another way", packedAs(whole, 14), "packed in a way that is not known here"},
		{"a list that is broken off", pack(item[:100]), "studio.json in the archive can't be read: it is broken off"},
		{"a list that is no JSON", change(`"items"`, `items`), "studio.json in the archive can't be read: it is not JSON near byte 41"},
		{"a list that is no object", pack(`[1]`), "studio.json in the archive can't be read: “[” stands where an object should"},
		{"a number in words", change(`"current":1`, `"current":"one"`), "a string stands where another kind of value should"},
		{"no time", change(`"saved":"2026-01-01T00:00:00Z"`, `"saved":"yesterday"`), `"yesterday" is no time`},
	} {
		s := open(t, t.TempDir())
		_, err := s.Import(t.Context(), bytes.NewReader(c.archive), int64(len(c.archive)))
		if err == nil || !strings.Contains(err.Error(), c.want) || machineWords.MatchString(err.Error()) {
			t.Errorf("%s: %v\nwant %q", c.name, err, c.want)
		}
	}
}

// packedAs says of every file of an archive that it is packed by a method (APPNOTE
// 6.3.10, sections 4.3.7 and 4.3.12: two bytes, 8 and 10 from the signatures' start).
func packedAs(archive []byte, method byte) []byte {
	out := bytes.Clone(archive)
	for _, head := range []struct {
		signature string
		at        int
	}{{"PK\x03\x04", 8}, {"PK\x01\x02", 10}} {
		for i := 0; ; {
			n := bytes.Index(out[i:], []byte(head.signature))
			if n < 0 {
				break
			}
			out[i+n+head.at] = method
			i += n + 4
		}
	}
	return out
}
