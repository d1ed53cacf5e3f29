package sound

import (
	"runtime"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// exercise is a piece of so many seconds, a note a second.
func exercise(t testing.TB, seconds int) *tab.Tab {
	var notes []note
	for i := range seconds {
		notes = append(notes, note{str: 1 + i%6, fret: float64(5 + 7*(i/8%2)), len: 1})
	}
	return makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, notes...)
}

// Streamed, a piece four times as long takes hardly more memory: under 16 kB for each second more,
// where keeping the samples would take 768. It is looked at while the last block is held.
func TestMemoryIsFlat(t *testing.T) {
	used := func(seconds int) int64 {
		tb := exercise(t, seconds)
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		s, err := NewStream(tb, Options{Dry: true})
		if err != nil {
			t.Fatal(err)
		}
		for given := 0; given < s.Len(); {
			b, err := s.Next(4096)
			if err != nil {
				t.Fatal(err)
			}
			given += b.Len()
			if given == s.Len() {
				runtime.GC()
				runtime.ReadMemStats(&after)
				runtime.KeepAlive(b)
			}
		}
		runtime.KeepAlive(s)
		return int64(after.HeapAlloc) - int64(before.HeapAlloc)
	}
	short, long := used(8), used(32)
	t.Logf("8 s hold %d kB, 32 s %d kB", short/1024, long/1024)
	if long-short > 24*16<<10 {
		t.Errorf("8 s hold %d kB, 32 s %d kB", short/1024, long/1024)
	}
}

// What is asked for beyond the end is silence, and what went before is the same as in pieces of any size.
func TestBeyondTheEndIsSilence(t *testing.T) {
	made := func(pieces ...int) []float32 {
		p, err := newPlaying(exercise(t, 1), Options{Dry: true})
		if err != nil {
			t.Fatal(err)
		}
		var out []float32
		for _, n := range append(pieces, 8*Rate-480) { // well beyond the end
			b := p.block()
			if err := p.next(&b, n); err != nil {
				t.Fatal(err)
			}
			out = append(out, b.Left...)
		}
		if p.length >= 8*Rate {
			t.Fatalf("the piece has %d samples", p.length)
		}
		for i, v := range out[p.length:] {
			if v != 0 {
				t.Fatalf("%g sounds %d samples beyond the end", v, i)
			}
		}
		return out
	}
	if whole := made(480); !same(whole, made(100, 380)) || loudestOf(whole) < 0.001 {
		t.Error("the sound depends on the pieces, or there is none")
	}
}

// How far a stream has come is told each second of it, to the sample.
func TestProgressEverySecond(t *testing.T) {
	told := 0
	s, err := NewStream(exercise(t, 1), Options{Dry: true, Gain: new(float64), Progress: func(float64) bool { told++; return true }})
	if err != nil {
		t.Fatal(err)
	}
	told = 0
	for range 300 { // three seconds
		if _, err := s.Next(Rate / 100); err != nil {
			t.Fatal(err)
		}
	}
	if told != 3 {
		t.Errorf("in three seconds it is told %d times", told)
	}
}
