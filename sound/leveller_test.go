package sound

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
)

// The gain is what is missing: a sine of 997 Hz at −20 dB of full scale on both sides has −20 LUFS (ITU-R BS.1770-4, annex 1: full scale
// on one side reads −3.01, and two sides add), so it is turned up or down by the rest, whatever the blocks it comes in. A tone under a
// tall peak is turned up by no more than brings the peak 12 dB over the ceiling; what is too short to have a loudness goes by its peak; silence is left alone.
func TestGainIsWhatIsMissing(t *testing.T) {
	spiked := sine(2, 997, 0.01, 0, 2)
	spiked.Channels[0][Rate] = 1
	for _, c := range []struct {
		why        string
		a          *Audio
		lufs, want float64
	}{
		{"up by 4 dB", sine(2, 997, 0.1, 0, 2), -16, 4},
		{"down by 10 dB", sine(2, 997, 0.1, 0, 2), -30, -10},
		{"a peak of full scale", spiked, -16, Ceiling + 12},
		{"0.1 s, which goes by the peak", sine(0.1, 997, 0.1, 0, 2), -16, 19},
		{"silence", sine(1, 997, 0, 0, 2), -16, 0},
	} {
		for _, size := range []int{1, 479, 4096} {
			var l leveller
			for at := 0; at < c.a.Len(); at += size {
				end := min(at+size, c.a.Len())
				l.add(&Block{Left: c.a.Channels[0][at:end], Right: c.a.Channels[1][at:end], Click: make([]float32, end-at)})
			}
			if got := l.gain(c.lufs); math.Abs(got-c.want) > 0.1 {
				t.Errorf("%s, in blocks of %d: %+.2f dB, want %+.2f", c.why, size, got, c.want)
			}
		}
	}
}

// Taken over by another score, the knocks from a sample on are heard as much later as the piece is, and those before are not.
func TestKnocksAreTakenOver(t *testing.T) {
	var k knocker
	k.next = 7
	list := []knock{{100, 1}, {200, 2}, {300, 3}}
	k.take(list, 200, 1000)
	if want := []knock{{1000, 2}, {1100, 3}}; len(k.knocks) != 2 || k.knocks[0] != want[0] || k.knocks[1] != want[1] || k.next != 0 || list[1].at != 200 {
		t.Errorf("%+v from knock %d on, want %+v", k.knocks, k.next, want)
	}
}

// Where somebody else's turn comes all strings are stopped at once, those that only answer for a while; turns that are still to come wait.
func TestTurnsHushTheStrings(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	n := len(r.Strings)
	w := &scribe{sc: &score{parts: make([]stringPart, n), hushes: []float64{1, 2, 3}}, hands: make([]ringing, n)}
	w.hands[2].sounding, w.hands[2].gliding = true, true
	w.hush(2)
	if len(w.sc.hushes) != 1 || w.sc.hushes[0] != 3 {
		t.Errorf("after two seconds %v are still to come", w.sc.hushes)
	}
	for s, p := range w.sc.parts {
		var stopped, lifted []int
		for _, a := range p.actions {
			switch a.kind {
			case damp:
				stopped = append(stopped, a.at)
			case lift:
				lifted = append(lifted, a.since)
			}
		}
		want := 2
		if s == 2 {
			want = 1 // the note itself is over for good
		}
		if len(stopped) != 2 || stopped[0] != Rate || stopped[1] != 2*Rate || len(lifted) != want {
			t.Errorf("string %d is stopped at %v and let go after %v", s+1, stopped, lifted)
		}
		if h := w.hands[s]; h.sounding || h.gliding || h.dampAt != never {
			t.Errorf("string %d goes on: %+v", s+1, h)
		}
	}
}
