package abc

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/internal/hostile"
	"lapwright/tune"
)

// hostiles are files made to take memory or time. Each must end in tunes, bounded
// warnings or one error.
func hostiles() map[string]func() string {
	line := func(s string) string { return strings.Repeat(s, 60_000/len(s)) + "\n" }
	body := func(s string, times int) func() string {
		return func() string { return "X:1\nK:C\n" + strings.Repeat(line(s), times) + "a|\n" }
	}
	return map[string]func() string{
		"100 MB of one line":    func() string { return strings.Repeat("a", 100<<20) },
		"20 MB of one line":     func() string { return "X:1\nK:C\n" + strings.Repeat("a", 20<<20) },
		"notes":                 body("a", 20),
		"bars":                  body("a|", 20),
		"chords":                body("[abcdefgABCDEFG]", 40),
		"graces":                body("{abcdefgABCDEFGabcdefgABCDEFGab}a", 80),
		"chord symbols":         body(`"G"`, 200),
		"chord symbols unknown": body(`"^x""zq"`, 200),
		"decorations":           body("!trill!", 200),
		"slurs":                 body("(", 200),
		"slur ends":             body(")", 200),
		"tuplets":               body("(3abc", 20),
		"nested tuplets":        body("(3", 20),
		"nested brackets":       body("[", 20),
		"nested braces":         body("{", 20),
		"overlays":              body("a&", 20),
		"endings":               body("|:a[1-99b:|", 1),
		"repeats":               body("|:a::::::::::::::::::::::::::::::::::::::::|", 20),
		"long notes":            body("a65536", 20),
		"short notes":           body("a////////////", 20),
		"dots":                  body("a>>>a<<<", 20),
		"rests":                 func() string { return "X:1\nM:1/1024\nK:C\n" + strings.Repeat("Z1000|\n", 400) },
		"tunes":                 func() string { return strings.Repeat("X:1\nK:C\na|\n\n", MaxTunes-1) },
		"repeating tunes": func() string {
			return strings.Repeat("X:1\nK:C\n"+strings.Repeat("|:a"+strings.Repeat(":", 60)+"|", 500)+"\n\n", 500)
		},
		"voices": func() string { return "X:1\nK:C\n" + strings.Repeat("[V:1]a|[V:2]b|[V:3]c|\n", 40_000) },
		"unlike voices": func() string {
			s := "X:1\nK:C\n"
			for i := range 64 {
				s += fmt.Sprintf("V:%d\na|\n", i)
			}
			return s + "V:1\n" + strings.Repeat(line("a|"), 6)
		},
		"lyrics":     func() string { return "X:1\nK:C\n" + line("a|") + strings.Repeat("w:"+line("la "), 200) },
		"symbols":    func() string { return "X:1\nK:C\n" + line("a|") + strings.Repeat("s:"+line("!trill! "), 200) },
		"words":      func() string { return "X:1\nK:C\na|\n" + strings.Repeat("W:"+line("la "), 200) },
		"titles":     func() string { return strings.Repeat("X:1\nT:"+line("x"), 200) },
		"unknown":    body("?", 200),
		"part order": func() string { return "X:1\nP:" + strings.Repeat("(", 30_000) + "\nK:C\nP:A\na|\n" },
		"part times": func() string { return "X:1\nP:((((A99)99)99)99)99\nK:C\nP:A\na|\n" },
		"zero meter": func() string { return "X:1\nM:0/0\nL:1/0\nQ:0\nK:C\nM:4/0\n[M:0/4]a0|[Q:1/4=0]a/0|\n" },
		"binary":     func() string { return strings.Repeat("\x80\xff\xfe\x01", 10_000) },
		"truncated":  func() string { return "X:1\nK:C\nab[ceg" },
	}
}

// TestHostile: no panic, an answer within bounds, bounded warnings, sound tunes.
func TestHostile(t *testing.T) {
	for name, source := range hostiles() {
		var tunes []*tune.Tune
		var warnings fault.List
		hostile.Feed(t, name, []byte(source()), func(in []byte) (has bool, err error) {
			tunes, warnings, err = Read(in, name)
			return len(tunes) > 0, err
		})
		if len(warnings) > MaxWarnings+1 {
			t.Errorf("%s: %d warnings", name, len(warnings))
		}
		for _, x := range tunes {
			if faults := x.Check(); len(faults) > 0 {
				t.Errorf("%s: %v", name, faults)
			}
		}
	}
}
