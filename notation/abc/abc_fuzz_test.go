package abc

import (
	"testing"
)

// FuzzRead: no text makes Read panic; a tune that it gives is sound, is written as
// ABC, and what was written reads back to the same text: writing is stable.
func FuzzRead(f *testing.F) {
	seeds := 0
	for _, m := range musics {
		f.Add(plainHeader + m.abc + "\n")
		seeds++
	}
	for _, head := range []string{
		"%abc-2.1\nM:3/4\n\nX:7\nT:First\nP:A2B\nQ:1/4=90\nL:1/4\nV:1 name=\"Upper\" clef=treble-8\nV:2\nK:G exp ^f _b\n[V:1]P:A\nC3|\n[V:2]G3|\nw: la\nW:first\n",
		"X:1\nM:2+2+3/8\nI:linebreak $\nU:T=!trill!\nK:none\n[Q:\"a\" 1/4=3]TA|$B|\n",
	} {
		f.Add(head)
		seeds++
	}
	if seeds < 100 {
		f.Fatalf("%d seeds", seeds)
	}
	f.Fuzz(func(t *testing.T, src string) {
		if len(src) > 20_000 {
			return
		}
		tunes, warnings, err := Read([]byte(src), "f.abc")
		if (err == nil) != (len(tunes) > 0) {
			t.Fatalf("%d tunes and the error %v", len(tunes), err)
		}
		for _, w := range warnings {
			if w.Msg == "" || w.Line < 0 || w.Col < 0 {
				t.Fatalf("a warning says nothing: %+v", w)
			}
		}
		for _, x := range tunes {
			if faults := x.Check(); len(faults) > 0 {
				t.Fatalf("%v", faults)
			}
			text, _ := Write(x)
			again, warnings, err := Read(text, "again.abc")
			if err != nil || len(again) != 1 {
				t.Fatalf("%d tunes, %v from\n%s\n%v", len(again), err, text, warnings)
			}
			if second, _ := Write(again[0]); string(second) != string(text) {
				t.Fatalf("written\n%s\nread and written again\n%s", text, second)
			}
		}
	})
}
