package typed

import (
	"runtime"
	"strings"
	"testing"

	"lapwright/internal/hostile"
	"lapwright/notation/columns"
	"lapwright/rig"
)

// Hostile texts get an answer within bounds: a tab or one clear error.
func TestHostileTexts(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	six := func(l string) string { return strings.Repeat(l+"\n", 6) }
	for name, src := range map[string]string{
		"empty":              "",
		"nothing but lines":  strings.Repeat("\n", 1<<20),
		"no text":            string([]byte{0, 1, 2, 0xff, 0xfe}),
		"one endless line":   strings.Repeat("-", 2<<20),
		"a long line":        six("|" + strings.Repeat("-5", 1<<14) + "|"),
		"many bars":          six(strings.Repeat("|-5-", 1<<13) + "|"),
		"wide runes":         six(strings.Repeat("│–5–", 1<<12) + "│"),
		"many systems":       strings.Repeat(six("|-0-5-7-|")+"\n", 1<<11),
		"only slides":        six("|" + strings.Repeat("/\\", 1<<12) + "|"),
		"brackets":           six("|" + strings.Repeat("(((", 1<<12) + "|"),
		"huge numbers":       six("|-" + strings.Repeat("9", 1<<12) + "-|"),
		"a meter of nothing": "Time: 0/0\n\n" + six("|-0-|"),
		"negative":           six("|--5--|-(-7)-|"),
		"too long":           strings.Repeat("x\n", columns.MaxBytes),
		"one-sided":          "|-0-|\n",
		"endings run on":     "1. 1. 1. 1.\n" + six("|-0-|-1-|-2-|"),
	} {
		hostile.Feed(t, name, []byte(src), func(in []byte) (bool, error) {
			tb, _, err := Parse(in, name, r)
			return tb != nil, err
		})
	}
}

// The memory that a dense text takes stays within what its size allows.
func TestMemoryOfDenseTexts(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	src := []byte(strings.Repeat(strings.Repeat(strings.Repeat("|-5-", 250)+"|\n", 6)+"\n", 80))
	if len(src) > columns.MaxBytes {
		t.Fatalf("the text has %d bytes", len(src))
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	tb, _, err := Parse(src, "dense.txt", r)
	if err != nil {
		t.Fatal(err)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	if kept := int64(after.HeapAlloc) - int64(before.HeapAlloc); kept > 64<<20 {
		t.Errorf("%d bars from %d bytes keep %d MB", len(tb.Tune.Bars), len(src), kept>>20)
	}
	runtime.KeepAlive(tb)
}
