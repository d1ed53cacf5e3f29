package notation

import (
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/tune"
)

func TestAppend(t *testing.T) {
	const head = "X:1\nM:4/4\nL:1/8\nK:D\n"
	for _, c := range []struct {
		text, note string
		num, den   int64
		want       string
	}{
		{head, "D4", 1, 8, "D"},
		{head + "D2E2F2G2", "F#4", 1, 4, "D2E2F2G2 | F2"},
		{head + "D2E2", "F4", 1, 4, "D2E2 =F2"},
		{head + "D2E2F2G2|", "C#5", 1, 8, "D2E2F2G2| c"},
		{head + "D2E2F2G2|]", "C5", 1, 16, "D2E2F2G2| =c/2"},
		{head + "D2", "A2", 3, 8, "D2 A,,3"},
		{head + "D2", "D6", 1, 1, "D2 d'8"},
		{head + "D2\nw: la", "Bb4", 1, 2, "D2\nw: la\n_B4"},
		{"X:1\nM:2/4\nK:C\n", "C4", 1, 8, "C2"},
	} {
		n, err := pitch.ParseName(c.note)
		if err != nil {
			t.Fatal(err)
		}
		length, _ := tune.Of(c.num, c.den)
		got, err := Append(c.text, n, length)
		if err != nil || !strings.HasSuffix(strings.TrimSpace(got), c.want) {
			t.Errorf("Append(%q, %s, %d/%d) = %q, %v, want it to end in %q", c.text, c.note, c.num, c.den, got, err, c.want)
			continue
		}
		// What was added is read back as that pitch and length.
		tunes, _, err := abc.Read([]byte(got), "t.abc")
		if err != nil {
			t.Fatal(err)
		}
		all := tune.Sound(tunes[0])
		last := all[len(all)-1]
		if last.Name.Key() != n.Key() || last.Len != length {
			t.Errorf("%q ends in %s for %s, want %s for %s", got, last.Name, last.Len, n, length)
		}
	}
	if _, err := Append("X:1\nK:C\n", pitch.Note(pitch.C, 0, 4), 0); err == nil {
		t.Error("a note without length was added")
	}
	if _, err := Append("no tune", pitch.Note(pitch.C, 0, 4), tune.Whole); err == nil {
		t.Error("a note was added to no tune")
	}
}
