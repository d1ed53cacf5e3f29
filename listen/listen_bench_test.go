package listen

import (
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// longTake gives a tab that lasts about so many minutes, and a take of it.
func longTake(b *testing.B, minutes int) (*tab.Tab, []float32) {
	b.Helper()
	one := line(rigtest.Builtin(b, "reso-open-g"), 9, 90, 12)
	var spots []listentest.Spot
	for range minutes {
		for i := range one.Strokes {
			p := one.Strokes[i].Plucks[0]
			spots = append(spots, listentest.Spot{Strings: []int{p.String}, Frets: []float64{p.Fret}, Len: []tune.Ticks{quarter, quarter / 2}[i%2]})
		}
	}
	tb := lay(one.Rig, 70, spots)
	return tb, mono(b, tb, sound.Options{})
}

func benchmarkReview(b *testing.B, minutes int) {
	tb, samples := longTake(b, minutes)
	b.ReportMetric(float64(len(samples))/sound.Rate, "take-s")
	for b.Loop() {
		take, err := NewTake(samples, sound.Rate)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := Review(take, tb, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReviewOneMinute(b *testing.B)    { benchmarkReview(b, 1) }
func BenchmarkReviewThreeMinutes(b *testing.B) { benchmarkReview(b, 3) }
