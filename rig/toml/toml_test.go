package toml

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	witness "github.com/pelletier/go-toml/v2"
	"pgregory.net/rapid"

	"lapwright/internal/seeds"
)

func TestMain(m *testing.M) { seeds.Run(m, 20261130, 20_000) }

// pieces are what texts are drawn from: the examples of https://toml.io/en/v1.1.0, taken
// apart, and what is wrong in each of them.
var pieces = []string{
	"key = \"value\"\n", "bare_key = 1\n", "1234 = 'a'\n", "\"127.0.0.1\" = true\n", "'quoted \"value\"' = false\n", "\"\" = \"blank\"\n", "= 1\n",
	"a.b = 1\n", "a.b.c = 2\n", "a . \"b\" . d = 3\n", "a = 1\n", "[a]\n", "[a.b]\n", "[ a . b . c ]\n", "[[a]]\n", "[[a.b]]\n", "[[ fruit.kind ]] # so\n", "[fruit]\n", "[fruit.kind.more]\n",
	"x = \"I'm \\\"quoted\\\". Jos\\u00E9 \\U0001F600 \\x41\\e\\b\\t\\n\\f\\r\\\\\"\n", "y = \"\"\"\nRoses\r\n\\   \n  are \"\"red\"\"\"\"\"\n", "[[a]]\nb = 1\n[a.c]\n[[a]]\nb = 2\n[a.c]\n", "y = \"\"\"a\"\"\"\"\"\"\n", "y = '''a''''''\n", "z = '''\nno \\d 'end'''''\n", "w = \"\\q\"\n", "v = \"\\uD800\"\n", "u = \"open\n",
	"n = +99\n", "n = 1_000\n", "n = 1__0\n", "n = 0xDEAD_beef\n", "n = 0o755\n", "n = 0b1101\n", "n = 010\n", "n = -0\n", "n = 9223372036854775808\n", "n = -9223372036854775808\n",
	"f = +1.0\n", "f = -0.01\n", "f = 5e+22\n", "f = 6.626e-34\n", "f = 224_617.445_991\n", "f = .7\n", "f = 7.\n", "f = 3.e+20\n", "f = 1e999\n", "f = inf\n", "f = -inf\n", "f = nan\n", "f = +nan\n", "f = -0.0\n",
	"d = 1979-05-27T07:32:00Z\n", "d = 1979-05-27T00:32:00.999999-07:00\n", "d = 1979-05-27 07:32:00z\n", "d = 1979-05-27T07:32\n", "d = 1979-05-27\n", "d = 07:32:00.5\n", "d = 1979-02-29\n", "d = 2000-02-29\n", "d = 24:00:00\n", "d = 1979-05-27T07:32:00+24:00\n", "d = 1979-05-27 \n",
	"d = 1900-02-29\n", "d = 2024-02-29\n", "d = 1979-05-27 ", "d = 1979-05-27 0", "azAZ = 1\n", "v = \"\\U0010FFFF\"\n", "v = \"\\U00110000\"\n", "v = \"\\u00E", "v = \"\\u00E9",
	"l = [1, 'two', [3.0, [ ] ],\n# so\n{a.b = 1, c = [2]},\n]\n", "l = [1,,2]\n", "l = [1\n", "l = [,]\n", "t = {a = 1, b = {c = 2,},\n}\n", "t = {a = 1, a.b = 2}\n", "t.q = 1\n", "t = {}\n", "t = {a.b = 1, a.c = 2}\n", "l = [[1], 2 3]\n",
	"# comment\twith tab\n", "# not \x01\n", "\n", "\r\n", "\r", " \t", "o = 1 p = 2\n", "o =\n", "o\n", "[]\n", "[[a]\n", "[a]]\n", "[a\n", "k = é\n", "'é' = \"é\"\n",
}

// TestLikeAnother reads drawn texts as github.com/pelletier/go-toml reads them.
func TestLikeAnother(t *testing.T) {
	read, refused := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		src := strings.Join(rapid.SliceOfN(rapid.SampledFrom(pieces), 1, 5).Draw(t, "pieces"), "")
		if at := rapid.IntRange(0, 3*len(src)).Draw(t, "at"); at < len(src) {
			// One byte is another, or is missing; what is no UTF-8 then is not for this room.
			c := rapid.SampledFrom([]string{"", "\"", "'", "[", "]", "{", "}", ".", ",", "=", "_", "-", "+", "0", "e", "T", ":", "\\", "\n", "\r", "#", " ", "\x7f"}).Draw(t, "byte")
			src = strings.ToValidUTF8(src[:at]+c+src[at+1:], "?")
		}
		if compared(t, src) {
			read++
		} else {
			refused++
		}
	})
	if all := read + refused; 10*read < all || 10*refused < all {
		t.Errorf("%d texts were read and %d refused: the drawn ones are all of one kind", read, refused)
	}
	for _, p := range pieces {
		compared(t, p)
	}
}

type failer interface {
	Helper()
	Errorf(format string, args ...any)
}

// compared reports whether a text is read, and fails where the other reads it otherwise.
func compared(t failer, src string) bool {
	t.Helper()
	var want map[string]any
	theirs := witness.Unmarshal([]byte(src), &want)
	got, ours := Read([]byte(src))
	if (theirs == nil) != (ours == nil) {
		t.Errorf("%q: %v, and go-toml says %v", src, ours, theirs)
		return ours == nil
	}
	if ours != nil {
		f := ours.(*Fault)
		if lines := strings.Count(src, "\n") + 1; f.At.Line < 1 || f.At.Line > lines || f.At.Col < 1 || strings.Contains(f.Msg, "\n") {
			t.Errorf("%q: no place in %v", src, ours)
		}
		return false
	}
	if want == nil {
		want = map[string]any{}
	}
	if a, b := told(got.Root), told(want); a != b {
		t.Errorf("%q:\n%s\nand go-toml says\n%s", src, a, b)
	}
	return true
}

// told says a value in one way for both readers.
func told(v any) string {
	switch v := v.(type) {
	case map[string]any:
		out := map[string]string{}
		for k, x := range v {
			out[k] = told(x)
		}
		return fmt.Sprintf("%q", out)
	case []any:
		var out []string
		for _, x := range v {
			out = append(out, told(x))
		}
		return fmt.Sprintf("%q", out)
	case float64:
		if math.IsNaN(v) {
			return "NaN"
		}
		return fmt.Sprintf("float %x", math.Float64bits(v))
	case Moment, time.Time, witness.LocalDate, witness.LocalDateTime, witness.LocalTime:
		return "moment" // no rig has one; whether it is one is compared
	}
	return fmt.Sprintf("%T %#v", v, v)
}

// TestPlaces: every key and value stands where the text has it («a value, ‹a key).
func TestPlaces(t *testing.T) {
	marked := "‹name = «\"a\"\r\n[‹table]\nk.‹deep = «[1, «{‹in = «2}]\n  [[‹list]]\n[[‹list]]\né = 1\n‹x = «'''\n'''\n"
	paths := []string{"name", "name", "table", "table.k.deep", "table.k.deep", "table.k.deep[2]", "table.k.deep[2].in", "table.k.deep[2].in", "list[1]", "list[2]", "list[2].x", "list[2].x"}
	var plain strings.Builder
	marks := 0
	var want []Place
	var isKey []bool
	line, col := 1, 1
	for i := 0; i < len(marked); {
		if key := strings.HasPrefix(marked[i:], "‹"); key || strings.HasPrefix(marked[i:], "«") {
			want, isKey = append(want, Place{line, col}), append(isKey, key)
			i += len("«")
			if key {
				i += len("‹") - len("«")
			}
			marks++
			continue
		}
		plain.WriteByte(marked[i])
		if col++; marked[i] == '\n' {
			line, col = line+1, 1
		}
		i++
	}
	if marks != len(paths) {
		t.Fatalf("%d marks for %d paths", marks, len(paths))
	}
	if _, err := Read([]byte(plain.String())); err == nil || err.(*Fault).At != (Place{6, 1}) {
		t.Fatalf("an é outside quotes: %v, want a fault at 6:1", err)
	}
	doc, err := Read([]byte(strings.Replace(plain.String(), "é", "e", 1)))
	if err != nil {
		t.Fatal(err)
	}
	for i, path := range paths {
		from := doc.Values
		if isKey[i] {
			from = doc.Keys
		}
		if from[path] != want[i] {
			t.Errorf("%s (a key: %v) stands at %v, want %v", path, isKey[i], from[path], want[i])
		}
	}
	if doc.Typed["name"] != "a" || doc.Typed["table.k.deep[2].in"] != "2" {
		t.Errorf("as they are typed: %q", doc.Typed)
	}
}

// FuzzRead: nothing panics, and what is refused has a place.
func FuzzRead(f *testing.F) {
	for _, p := range pieces {
		f.Add(p)
	}
	f.Add(strings.Repeat("[", 5000))
	f.Add("a=" + strings.Repeat("{a=", 5000))
	f.Fuzz(func(t *testing.T, src string) {
		doc, err := Read([]byte(src))
		if (doc == nil) == (err == nil) {
			t.Errorf("%v and %v", doc, err)
		}
		if err == nil {
			return
		}
		if at := err.(*Fault).At; at.Line < 1 || at.Col < 1 {
			t.Errorf("no place in %v", err)
		}
	})
}
