package delay

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"
)

// at is when clicks are sounded, in seconds: as the page sounds them (clickTimes in delay.ts), at uneven distances.
var at = []float64{0.3, 0.75, 1.3, 1.7, 2.25, 2.7, 3.25, 3.6}

// sounded is what a page sounds: a tone that rises in 2 ms and dies away, as clicktone.ts makes it.
func sounded(rate float64) []float32 {
	out := make([]float32, int(4.4*rate))
	for _, t := range at {
		for i := range int(0.06 * rate) {
			s := float64(i) / rate
			level := 0.4 * s / 0.002
			if s > 0.002 {
				level = 0.4 * math.Pow(0.001/0.4, (s-0.002)/0.048)
			}
			out[int(t*rate)+i] = float32(level * math.Sin(2*math.Pi*1568*s))
		}
	}
	return out
}

// heardAs is what a microphone makes of it: later by delay, through a loudspeaker that turns the phase and a small
// room, with white noise so many decibels below the clicks' first 20 ms.
func heardAs(x []float32, rate, delay, noise float64, rnd *rand.Rand) []float32 {
	out := make([]float32, len(x))
	add := func(late, gain float64) {
		whole := int(math.Floor((delay + late) * rate))
		part := (delay+late)*rate - float64(whole)
		for i := range out {
			if k := i - whole; k > 0 && k < len(x) {
				out[i] += float32(gain * ((1-part)*float64(x[k]) + part*float64(x[k-1])))
			}
		}
	}
	add(0, -0.1) // the phase turned by half a round
	for range 6 {
		add(0.003+0.03*rnd.Float64(), 0.05*(rnd.Float64()-0.5))
	}
	if math.IsInf(noise, 1) {
		return out
	}
	power, n := 0.0, 0
	for _, t := range at {
		for i := range int(0.02 * rate) {
			if k := int((t+delay)*rate) + i; k < len(out) {
				power += float64(out[k]) * float64(out[k])
				n++
			}
		}
	}
	sigma := math.Sqrt(power/float64(n)) * math.Pow(10, -noise/20)
	for i := range out {
		out[i] += float32(sigma * rnd.NormFloat64())
	}
	return out
}

// A delay that was put in comes back, over loudspeaker, room and noise.
func TestDelayIsMeasured(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	cases, worst := 0, 0.0
	for i, rate := range []float64{44100, 48000} {
		x := sounded(rate)
		for k, delay := range []float64{0, 0.0123, 0.0871, 0.18, 0.3, 0.42} {
			for j, noise := range []float64{math.Inf(1), 20, 10} {
				if (i+j+k)%2 == 1 { // each delay in each noise at one of the rates
					continue
				}
				m := Measure(heardAs(x, rate, delay, noise, rnd), x, rate)
				off := math.Abs(m.Seconds - delay)
				cases++
				worst = max(worst, off)
				if m.Refused != "" || off > 0.001 || m.Spread > 0.0005 || m.Heard < 7 {
					t.Errorf("%g s at %g a second with noise %g dB below: %+v", delay, rate, noise, m)
				}
			}
		}
	}
	t.Logf("%d delays, at most %.2f ms off", cases, 1000*worst)
	if cases < 18 {
		t.Errorf("only %d delays were tried", cases)
	}
}

// What tells nothing is said to tell nothing, each in its sentence.
func TestWhatTellsNothing(t *testing.T) {
	const rate = 48000
	x := sounded(rate)
	rnd := rand.New(rand.NewSource(2))
	noise := make([]float32, len(x))
	for i := range noise {
		noise[i] = float32(0.05 * rnd.NormFloat64())
	}
	// Buzzes of a voice through two formants, made syllables, as listen's own test of speech has them.
	speech := make([]float32, len(x))
	for from := 0; from < len(x); from += rate / 4 {
		f := 90 + 80*rnd.Float64()
		a, b := 300+500*rnd.Float64(), 1000+1200*rnd.Float64()
		for i := range rate / 5 {
			if from+i >= len(speech) {
				break
			}
			s, v := float64(i)/rate, 0.0
			for k := 1.0; k*f < 5000; k++ {
				v += math.Sin(2*math.Pi*k*f*s) * (1/(1+math.Abs(k*f-a)/80) + 1/(1+math.Abs(k*f-b)/120))
			}
			speech[from+i] = float32(0.02 * v * math.Sin(math.Pi*5*s))
		}
	}
	jumping := make([]float32, len(x))
	for i, t := range at {
		part := make([]float32, len(x))
		copy(part[int(t*rate):int((t+0.06)*rate)], x[int(t*rate):int((t+0.06)*rate)])
		late := int((0.08 + 0.0035*float64(i%3-1)) * rate)
		for k := late; k < len(jumping); k++ {
			jumping[k] += part[k-late]
		}
	}
	const unclear, nothing = "not heard clearly", "hears nothing at all"
	for _, c := range []struct {
		name           string
		heard, sounded []float32
		says           string
	}{
		{"silence", make([]float32, len(x)), x, nothing},
		{"noise", noise, x, unclear},
		{"speech", speech, x, unclear},
		{"another delay for every click", jumping, x, "another from click to click"},
		{"nothing sounded", noise, make([]float32, len(x)), "No clicks were sounded"},
		{"no samples", nil, nil, "No clicks were sounded"},
	} {
		m := Measure(c.heard, c.sounded, rate)
		if !strings.Contains(m.Refused, c.says) || m.Seconds != 0 {
			t.Errorf("%s: %+v, want %q", c.name, m, c.says)
		}
	}
}

func ExampleMeasure() {
	const rate = 48000
	x := sounded(rate)
	m := Measure(heardAs(x, rate, 0.087, math.Inf(1), rand.New(rand.NewSource(3))), x, rate)
	fmt.Printf("%.0f ms, told by %d clicks of %d\n", 1000*m.Seconds, m.Heard, m.Sounded)
	// Output: 87 ms, told by 8 clicks of 8
}

// Samples that are no numbers count as silence, as for an ear.
func TestNoNumbersAreSilence(t *testing.T) {
	const rate = 44100
	x := sounded(rate)
	bad := []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1))}
	heard, clicks := heardAs(x, rate, 0.1, math.Inf(1), rand.New(rand.NewSource(3))), append([]float32{}, x...)
	for i, v := range bad { // before the first click, and after the last has died away
		heard[100+i], clicks[100+i] = v, v
		heard[len(heard)-1-i], clicks[len(clicks)-1-i] = v, v
	}
	if m := Measure(heard, clicks, rate); m.Refused != "" || math.Abs(m.Seconds-0.1) > 0.001 {
		t.Errorf("with some samples that are no numbers: %+v", m)
	}
	for i := range heard {
		heard[i] = bad[i%len(bad)]
	}
	if m := Measure(heard, x, rate); m.Refused == "" {
		t.Errorf("where nothing heard is a number: %+v", m)
	}
	if m := Measure(x, heard, rate); m.Refused == "" {
		t.Errorf("where nothing sounded is a number: %+v", m)
	}
}
