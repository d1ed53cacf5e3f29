package listen

import (
	"runtime"
	"runtime/metrics"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// longTake gives a tab that lasts about so many minutes, and a take of it: a minute that is
// sounded once, and comes again before it has rung out.
func longTake(t testing.TB, minutes int) (*tab.Tab, []float32) {
	t.Helper()
	one := line(rigtest.Builtin(t, "reso-open-g"), 9, 90, 12)
	var spots []listentest.Spot
	for i := range one.Strokes {
		p := one.Strokes[i].Plucks[0]
		spots = append(spots, listentest.Spot{Strings: []int{p.String}, Frets: []float64{p.Fret}, Len: []tune.Ticks{quarter, quarter / 2}[i%2]})
	}
	minute := lay(one.Rig, 72, spots)
	sounded := mono(t, minute, sound.Options{})
	length := int(minute.Performance().Clock.Seconds(minute.Performance().Clock.Len()) * sound.Rate)
	out := make([]float32, length*(minutes-1)+len(sounded))
	for k := range minutes {
		for i, v := range sounded {
			out[k*length+i] += v
		}
	}
	var all []listentest.Spot
	for range minutes {
		all = append(all, spots...)
	}
	return lay(one.Rig, 72, all), out
}

// peakOf returns how far the heap grows while something is done, in bytes, what is no longer used
// and not yet swept included, and how much it allocates in all.
func peakOf(do func()) (peak, allocated uint64) {
	var before, after runtime.MemStats
	heap := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	runtime.GC()
	runtime.ReadMemStats(&before)
	metrics.Read(heap)
	base := heap[0].Value.Uint64()
	done, over := make(chan bool), make(chan uint64)
	go func() {
		most := uint64(0)
		for {
			select {
			case <-done:
				over <- most
				return
			default:
				metrics.Read(heap)
				most = max(most, heap[0].Value.Uint64())
				runtime.Gosched()
			}
		}
	}()
	do()
	close(done)
	peak = <-over
	runtime.ReadMemStats(&after)
	return peak - min(peak, base), after.TotalAlloc - before.TotalAlloc
}

// mostMemory is how much a review of three minutes may take at its peak, in bytes; the samples
// that are handed to it, 4 bytes each at 48 kHz, are the caller's.
const mostMemory = 200e6

// The memory of a review is bounded, and what passes through it is in proportion to the take.
func TestReviewKeepsToItsMemory(t *testing.T) {
	var allocated [4]float64
	for _, minutes := range []int{1, 3} {
		tb, samples := longTake(t, minutes)
		var v *Reviewed
		peak, all := peakOf(func() { v = review(t, samples, tb) })
		if v.Refused != "" || len(v.Notes) != 90*minutes {
			t.Fatalf("%d minutes: %d notes %s", minutes, len(v.Notes), v.Refused)
		}
		t.Logf("%d minutes, %.0f s: %.0f MB at the peak, %.0f MB in all", minutes, float64(len(samples))/sound.Rate, float64(peak)/1e6, float64(all)/1e6)
		if peak > mostMemory {
			t.Errorf("%d minutes: %.0f MB at the peak, want less than %.0f", minutes, float64(peak)/1e6, mostMemory/1e6)
		}
		allocated[minutes] = float64(all)
	}
	if r := allocated[3] / allocated[1]; r > 3.3 {
		t.Errorf("three minutes take %.2f times the memory of one", r)
	}
}

func benchmarkReview(b *testing.B, minutes int) {
	tb, samples := longTake(b, minutes)
	b.ReportMetric(float64(len(samples))/sound.Rate, "take-s")
	peak := uint64(0)
	for b.Loop() {
		most, _ := peakOf(func() { review(b, samples, tb) })
		peak = max(peak, most)
	}
	b.ReportMetric(float64(peak)/1e6, "peak-MB")
}

func BenchmarkReviewOneMinute(b *testing.B)    { benchmarkReview(b, 1) }
func BenchmarkReviewThreeMinutes(b *testing.B) { benchmarkReview(b, 3) }
