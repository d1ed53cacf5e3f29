package sound

import (
	"math"

	"lapwright/pitch"
)

// Reference tones: each sounds for toneSeconds with toneGap of silence after
// it, and fades in and out over toneFade so that nothing clicks, all in
// seconds. They are steady and have the first partials of a string, by which
// the ear hears beats; the first is at toneLevel of full scale, −20 dB.
const (
	toneSeconds  = 3.0
	toneGap      = 0.4
	toneFade     = 0.03
	tonePartials = 6
	toneLevel    = 0.1
)

// Tones returns steady reference tones, one after the other, on one channel. The
// frequencies are exact to the sample clock.
func Tones(freqs []pitch.Hz) *Audio {
	span := int((toneSeconds + toneGap) * Rate)
	out := make([]float32, span*len(freqs))
	for k, f := range freqs {
		for i := range int(toneSeconds * Rate) {
			t := float64(i) / Rate
			fade := min(1, t/toneFade, (toneSeconds-t)/toneFade)
			v := 0.0
			for n := 1; n <= tonePartials && float64(n)*float64(f) < Rate/2; n++ {
				v += math.Sin(2*math.Pi*float64(n)*float64(f)*t) / float64(n)
			}
			out[k*span+i] = float32(toneLevel * fade * v)
		}
	}
	return &Audio{Channels: [][]float32{out}}
}
