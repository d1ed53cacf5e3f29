package notation

import (
	"fmt"
	"strings"

	"lapwright/fault"
	"lapwright/notation/abc"
)

// Retitle returns an ABC text of one tune with another title; the rest stays as it
// was typed. A text that has no title gets one after its number.
func Retitle(text, title string) (string, error) {
	// A per cent sign begins a comment, a backslash and an ampersand name a sign
	// (ABC 2.1, sections 3.2 and 8.2).
	line := "T:" + strings.NewReplacer(`\`, `\\`, `%`, `\%`, `&`, `\&`).Replace(title) + "\n"
	lines := strings.SplitAfter(text, "\n")
	number, old := -1, -1
	for i, l := range lines {
		if strings.HasPrefix(l, "K:") {
			break
		}
		if strings.HasPrefix(l, "X:") {
			number = i
		}
		if strings.HasPrefix(l, "T:") {
			old = i
			break
		}
	}
	switch {
	case old >= 0:
		lines[old] = line
	case number >= 0:
		lines[number] = strings.TrimRight(lines[number], "\r\n") + "\n" + line
	default:
		lines = append([]string{line}, lines...)
	}
	out := strings.Join(lines, "")
	// A text without notes is no tune yet; with a rest it tells its title.
	for _, whole := range []string{out, strings.TrimRight(out, " \t\n") + "\nz\n"} {
		if tunes, _, err := abc.Read([]byte(whole), "tune.abc"); err == nil && len(tunes) > 0 && tunes[0].Title == title {
			return out, nil
		}
	}
	return "", &fault.Fault{Msg: fmt.Sprintf("the title %q can't be written in this tune's text", title)}
}
