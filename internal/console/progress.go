package console

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"unicode/utf8"
)

// meterWidth is how many characters the drawn part of a meter takes. With the
// percentage and a few words it stays on one line of an ordinary terminal, 80.
const meterWidth = 32

// Meter shows on a terminal how far work has come; elsewhere it shows nothing.
// Rooms tell it from more than one goroutine.
type Meter struct {
	to    io.Writer // nil: nothing is shown
	mutex sync.Mutex
	shown string
}

// Progress begins a meter. Its Draw fits what rooms call Progress; End takes
// the line away.
func (con *Console) Progress() *Meter {
	m := &Meter{}
	if con.live {
		m.to = con.Stderr
	}
	return m
}

// Draw shows how many of total steps are done and what is being worked on. A
// line is written only when it differs from what stands there.
func (m *Meter) Draw(done, total int, what string) {
	if m.to == nil || total <= 0 {
		return
	}
	m.mutex.Lock()
	defer m.mutex.Unlock()
	done = min(max(done, 0), total)
	full := meterWidth * done / total
	m.replace(fmt.Sprintf("[%s%s] %3d %% %s", strings.Repeat("=", full), strings.Repeat(" ", meterWidth-full), 100*done/total, OneLine(what)))
}

// replace puts a line in the place of the one before it.
func (m *Meter) replace(line string) {
	if line == m.shown {
		return
	}
	if r := []rune(line); len(r) > 79 {
		line = string(r[:79])
	}
	gone := max(0, utf8.RuneCountInString(m.shown)-utf8.RuneCountInString(line))
	fmt.Fprintf(m.to, "\r%s%s", line, strings.Repeat(" ", gone))
	if gone > 0 && line == "" {
		fmt.Fprint(m.to, "\r")
	}
	m.shown = line
}

func (m *Meter) End() {
	if m.to == nil {
		return
	}
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.replace("")
}
