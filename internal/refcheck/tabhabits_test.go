package refcheck

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation"
	"lapwright/notation/abc"
	"lapwright/notation/tabtext"
	"lapwright/rig"
	"lapwright/tab"
)

// habit rewrites an exact text the way a player might have typed it: from its
// heading and the lines of its systems.
type habit struct {
	name string
	// line returns a string line anew, from its number, pitch and tab.
	line func(num, pitch, body string) string
	// flipped puts string 1 at the bottom.
	flipped bool
	// rhythm keeps the letters.
	rhythm bool
}

var habits = []habit{
	{"names and letters", func(_, pitch, body string) string { return strings.TrimRight(pitch, "0123456789") + "\t" + body }, false, true},
	{"numbers, no letters", func(num, _, body string) string { return num + body }, false, false},
	{"low string on top", func(_, pitch, body string) string { return pitch + " " + body }, true, true},
	{"typeset dashes", func(_, pitch, body string) string {
		return pitch + " " + strings.NewReplacer("-", "–", "|", "│").Replace(body)
	}, false, true},
	{"blanks for dashes", func(_, pitch, body string) string { return pitch + " " + strings.ReplaceAll(body, "-", " ") }, false, true},
}

var exactString = regexp.MustCompile(`^(\d+) (\S+) +(\|.*)$`)

// retype writes a text in a habit.
func (h habit) retype(text string) string {
	var out []string
	for _, block := range strings.Split(text, "\n\n")[1:] {
		if strings.HasPrefix(block, "fine print:") {
			break
		}
		var letters string
		var lines []string
		margin := 0
		for _, l := range strings.Split(strings.TrimRight(block, "\n"), "\n") {
			if rest, ok := strings.CutPrefix(l, "rhythm "); ok {
				letters = rest
			}
			m := exactString.FindStringSubmatch(l)
			if m == nil {
				continue
			}
			margin = len(l) - len(m[3])
			lines = append(lines, h.line(m[1], m[2], m[3]))
		}
		if h.flipped {
			slices.Reverse(lines)
		}
		if h.rhythm {
			shift := strings.Index(lines[0], "|")
			if shift < 0 {
				shift = strings.Index(lines[0], "│")
			}
			if i := strings.IndexByte(lines[0], '\t'); i >= 0 {
				shift = 8
			}
			letters = strings.Repeat(" ", len("rhythm ")) + letters
			out = append(out, strings.Repeat(" ", max(shift-margin, 0))+letters[max(margin-shift, 0):])
		}
		out = append(out, lines...)
		out = append(out, "")
	}
	return strings.Join(out, "\n")
}

// played lists what a tab asks of the hands: string, fret and benders of every
// stroke by bar, with times where asked; notes held on are left out.
func played(t *tab.Tab, times bool) []string {
	bars := make([]string, len(t.Tune.Bars))
	for i := range t.Strokes {
		s := &t.Strokes[i]
		text := ""
		for _, p := range s.Plucks {
			if p.Attack != tab.Tied {
				text += fmt.Sprintf(" %d:%.2f", p.String, p.Fret)
			}
		}
		if text == "" {
			continue
		}
		if times {
			text = " @" + s.At.String() + text
		}
		bars[s.BarIndex] += text
		if s.Benders != 0 {
			bars[s.BarIndex] += fmt.Sprintf(" +%b", s.Benders)
		}
	}
	return bars
}

// Tabs of real tunes, arranged and then written in the habits of players, are
// read as the same strings and frets at the same times. The tunes are those of
// the Nottingham database with plain rhythms: the loose form has no graces, no
// nested tuplets and no second voice.
func TestTabTextHabits(t *testing.T) {
	src, err := os.ReadFile(filepath.Join(Reference(t, "tunes"), "waltzes.abc"))
	if err != nil {
		t.Fatal(err)
	}
	tunes, _, err := abc.Read(src, "waltzes.abc")
	if err != nil {
		t.Fatal(err)
	}
	more, err := os.ReadFile(filepath.Join(Reference(t, "tunes"), "ashover.abc"))
	if err != nil {
		t.Fatal(err)
	}
	others, _, err := abc.Read(more, "ashover.abc")
	if err != nil {
		t.Fatal(err)
	}
	tunes = append(tunes, others...)
	rigs := rig.Builtins()
	tried := 0
	for i, u := range tunes {
		r := rigs[i%len(rigs)]
		got, err := arrange.Arrange(t.Context(), u, r, arrange.Options{})
		if err != nil {
			t.Errorf("%s: %v", u.Title, err)
			continue
		}
		text, _, _ := strings.Cut(string(tabtext.Format(got.Tab)), "\nfine print:\n")
		if strings.Contains(text, "[3") || strings.Contains(text, " '") || strings.Contains(text, "capo:") || strings.Contains(text, "@") {
			continue
		}
		for _, h := range habits {
			typed := h.retype(text)
			back, _, err := notation.ReadTab([]byte(typed), h.name, r)
			if err != nil {
				t.Errorf("%s on %s, %s: %v\n%s", u.Title, r.Name, h.name, err, typed)
				continue
			}
			want, have := played(got.Tab, h.rhythm), played(back, h.rhythm)
			if !slices.Equal(want, have) {
				for b := range min(len(want), len(have)) {
					if want[b] != have[b] {
						t.Errorf("%s on %s, %s, written bar %d: read as%s, want%s\n%s", u.Title, r.Name, h.name, b+1, have[b], want[b], typed)
						break
					}
				}
			}
			tried++
		}
	}
	if tried < 100 {
		t.Errorf("only %d texts were tried", tried)
	}
	t.Logf("%d texts", tried)
}
