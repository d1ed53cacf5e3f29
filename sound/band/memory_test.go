package band

import (
	"runtime"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/sound"
)

// All stems at once, with the band, click and the steel's noise, take no more memory for a longer piece but what is kept of each second to turn it up
// and limit it, and the band's score: under 16 kB a second, so that ten minutes take under 10 MB more than none. It is counted while the last block is
// held, with nothing thrown away still about.
func TestMemoryIsFlatWithBand(t *testing.T) {
	used := func(times int) int64 {
		src := "X:1\nT:Long Quay\nR:swing\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\n" + strings.Repeat("\"G\"G2B2 d2B2|\"D7\"d2f2 a2f2|\n", times)
		tn := read(t, src)
		res, err := arrange.Arrange(t.Context(), tn.Tune, tn.Rig, arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		backing, err := NewBacking(res.Tab, nil)
		if err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		s, err := sound.NewStream(res.Tab, sound.Options{Band: backing, Click: true})
		if err != nil {
			t.Fatal(err)
		}
		for given := 0; given < s.Len(); {
			b, err := s.Next(4096)
			if err != nil {
				t.Fatal(err)
			}
			if given += b.Len(); given == s.Len() {
				runtime.GC()
				runtime.ReadMemStats(&after)
				runtime.KeepAlive(b)
			}
		}
		runtime.KeepAlive(s)
		return int64(after.HeapAlloc) - int64(before.HeapAlloc)
	}
	short, long := used(2), used(8) // 8 s and 32 s
	t.Logf("8 s hold %d kB, 32 s %d kB", short/1024, long/1024)
	if long-short > 24*16<<10 {
		t.Errorf("8 s hold %d kB, 32 s %d kB", short/1024, long/1024)
	}
}
