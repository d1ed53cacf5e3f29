package console

import (
	"strings"
	"sync"
	"testing"
)

// screen returns what a terminal shows of a text: a carriage return goes back to
// the start of the line, what is written there replaces what stood (ECMA-48,
// section 8.3.15).
func screen(text string) string {
	var line []rune
	at := 0
	for _, r := range text {
		switch {
		case r == '\r':
			at = 0
		case at == len(line):
			line = append(line, r)
			at++
		default:
			line[at] = r
			at++
		}
	}
	return strings.TrimRight(string(line), " ")
}

func TestMeter(t *testing.T) {
	var out strings.Builder
	m := &Meter{to: &out}
	m.Draw(1, 4, "placing the tune on tricone-open-d")
	if got, want := screen(out.String()), "[========                        ]  25 % placing the tune on tricone-open-d"; got != want {
		t.Errorf("shows %q, want %q", got, want)
	}
	m.Draw(4, 4, "sheets")
	if got, want := screen(out.String()), "["+strings.Repeat("=", 32)+"] 100 % sheets"; got != want {
		t.Errorf("shows %q, want %q", got, want)
	}
	before := out.Len()
	m.Draw(4, 4, "sheets")
	if out.Len() != before {
		t.Errorf("the same line was written again")
	}
	m.Draw(9, 4, strings.Repeat("long ", 40)+"\n\x1b[31m")
	if got := screen(out.String()); len(got) > 79 || strings.ContainsAny(out.String(), "\n\x1b") {
		t.Errorf("a long text leaves the line: %q", got)
	}
	m.End()
	if got := screen(out.String()); got != "" {
		t.Errorf("%q is left at the end", got)
	}
}

// Where nobody looks, nothing is written; and rooms may tell it at once.
func TestMeterIsQuiet(t *testing.T) {
	var out strings.Builder
	quiet := (&Console{Stderr: &out}).Progress()
	quiet.Draw(1, 2, "sheets")
	quiet.End()
	if out.Len() > 0 {
		t.Errorf("%q was written though there is no terminal", out.String())
	}
	live := (&Console{Stderr: &out, live: true}).Progress()
	var wait sync.WaitGroup
	for i := range 20 {
		wait.Go(func() { live.Draw(i, 20, "sounding") })
	}
	wait.Wait()
	live.End()
	if got := screen(out.String()); got != "" {
		t.Errorf("%q is left at the end", got)
	}
}
