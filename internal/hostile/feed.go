package hostile

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"testing"
	"time"
)

// The bounds of what a reader may take beside the file itself, and of what it says.
const (
	maxHeap  = 60 << 20  // bytes in use at any one time, garbage not counted
	maxTaken = 256 << 20 // bytes taken from the heap in all: readers refuse before that, however long the file
	maxError = 300       // bytes of an error's text
)

// Feed has a file read, and fails the test unless there is a result or an error but
// not both, the error is one clear line, and the heap that it took stays in bounds.
// What is taken in all counts the work, which no clock does: it passes every bound
// where a reader copies what it has over and over.
func Feed(t *testing.T, name string, in []byte, read func(in []byte) (has bool, err error)) {
	t.Helper()
	var has bool
	var err error
	most, taken := heap(func() { has, err = read(in) })
	t.Logf("%-20s %5.1f MB in, %6.1f MB more, %7.1f MB in all: %.100v", name, mega(int64(len(in))), mega(most), mega(taken), err)
	if has == (err != nil) {
		t.Errorf("%s: a result %v, and the error %v", name, has, err)
	}
	if err != nil {
		if text := err.Error(); text == "" || len(text) > maxError || strings.Contains(text, "\n") {
			t.Errorf("%s: the error is not one clear line: %.400q", name, text)
		}
	}
	if most > maxHeap {
		t.Errorf("%s: %.0f MB of memory for a file of %.1f MB", name, mega(most), mega(int64(len(in))))
	}
	if taken > maxTaken {
		t.Errorf("%s: %.0f MB taken in all for a file of %.1f MB", name, mega(taken), mega(int64(len(in))))
	}
}

func mega(n int64) float64 { return float64(n) / (1 << 20) }

// heap runs f and returns the most bytes above what was before that a collection of
// garbage found in use, with one when f has ended, and all that was taken. What waits to
// be collected is not counted: how much that is hangs on what else the machine does.
func heap(f func()) (most, taken int64) {
	// Collected each time that a twentieth has been added, so that little comes and goes unseen.
	defer debug.SetGCPercent(debug.SetGCPercent(5))
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := live()
	stop, peak := make(chan bool), make(chan int64)
	go func() {
		most := int64(0)
		for over := false; !over; {
			select {
			case <-stop: // what was found last counts, however late this gets its turn
				over = true
			case <-time.After(time.Millisecond):
			}
			most = max(most, live()-start)
		}
		peak <- most
	}()
	f()
	stop <- true
	most = <-peak
	runtime.ReadMemStats(&after)
	runtime.GC()
	return max(most, live()-start), int64(after.TotalAlloc - before.TotalAlloc)
}

// live returns the bytes that the last collection of garbage found in use.
func live() int64 {
	sample := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(sample)
	return int64(sample[0].Value.Uint64())
}
