package hostile

import "testing"

var sink []byte

// TestHeap: what is kept counts as in use, also when it is let go before the end, and what
// is dropped at once only as taken. A quarter may come and go between two collections where the
// machine is busy, and what is taken while one is under way counts as in use.
func TestHeap(t *testing.T) {
	const mb = 1 << 20
	churn := func(times int) {
		for range times {
			sink = make([]byte, mb)
		}
		sink = nil
	}
	for _, c := range []struct {
		name               string
		kept, dropped      int // MB
		min, max, minTaken int64
	}{
		{"garbage alone", 0, 200, 0, 40 * mb, 200 * mb},
		{"kept", 40, 0, 30 * mb, 60 * mb, 40 * mb},
		{"kept among garbage", 40, 200, 30 * mb, 80 * mb, 240 * mb},
	} {
		most, taken := heap(func() {
			var all [][]byte
			for range c.kept {
				all = append(all, make([]byte, mb))
			}
			churn(c.dropped)
			for i := range all {
				all[i][0] = 1
			}
		})
		if most < c.min || most > c.max || taken < c.minTaken {
			t.Errorf("%s: %d bytes in use and %d taken; want %d to %d in use and %d taken", c.name, most, taken, c.min, c.max, c.minTaken)
		}
	}
}
