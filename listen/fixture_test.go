package listen

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

const quarter = tune.Whole / 4

// What makes takes whose errors are known.
var (
	lay      = listentest.Lay
	line     = listentest.Line
	laid     = listentest.Laid
	played   = listentest.Played
	off      = listentest.Off
	mono     = listentest.Mono
	byString = listentest.ByString
)

// noisy adds white noise so many dB below the whole take.
func noisy(samples []float32, db float64, seed int64) []float32 {
	sum := 0.0
	for _, v := range samples {
		sum += float64(v) * float64(v)
	}
	sigma := math.Sqrt(sum/float64(len(samples))) * math.Pow(10, -db/20)
	r := rand.New(rand.NewSource(seed))
	out := make([]float32, len(samples))
	for i, v := range samples {
		out[i] = v + float32(sigma*r.NormFloat64())
	}
	return out
}

func review(t testing.TB, samples []float32, tb *tab.Tab) *Reviewed {
	t.Helper()
	v, err := Review(hear(t, samples, sound.Rate), tb, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// quantile returns a quantile of v, which it sorts.
func quantile(v []float64, q float64) float64 {
	slices.Sort(v)
	if len(v) == 0 {
		return math.NaN()
	}
	return v[min(len(v)-1, int(q*float64(len(v))))]
}
