package web

import (
	"fmt"
	"strings"
	"time"

	"lapwright/pitch"
	"lapwright/report"
	"lapwright/say"
)

// sentence makes a message of ours into one for a page.
func sentence(s string) string {
	// A file's name at the head stays as the file is called.
	if head, _, _ := strings.Cut(s, " "); !strings.ContainsAny(head, ".:") {
		s = say.Capital(s)
	}
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// sentences makes the texts of faults into sentences.
func sentences(list []report.Fault) []report.Fault {
	for i := range list {
		list[i].Text = sentence(list[i].Text)
	}
	return list
}

// when says a time as people do.
func when(t, now time.Time) string {
	t, now = t.Local(), now.Local()
	days := int(midnight(now).Sub(midnight(t)).Hours()/24 + 0.5)
	switch {
	case now.Sub(t) < time.Minute:
		return "just now"
	case days == 0:
		return "today at " + t.Format("15:04")
	case days == 1:
		return "yesterday at " + t.Format("15:04")
	case days < 7:
		return t.Format("Monday at 15:04")
	}
	return t.Format("2 January 2006")
}

func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}

// cents writes a difference to a tenth of a cent, with its sign.
func cents(c float64) string { return say.SignedTo(c, 1) }

// notes prints pitches as words name them: F♯4 for F#4. What is no pitch stays.
func notes(names any) string {
	words := strings.Fields(fmt.Sprint(names))
	for i, w := range words {
		if n, err := pitch.ParseName(w); err == nil {
			words[i] = n.Pretty()
		}
	}
	return strings.Join(words, " ")
}
