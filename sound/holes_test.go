package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// longestHole returns how many ms in a row, at most, a sound between two times lies more than 30 dB under the median of its
// loudest windows, one a second, in windows of 20 ms taken every 5.
func longestHole(x []float32, from, to float64) int {
	var level []float64
	for i := int(from * Rate); i+960 <= int(to*Rate); i += 240 {
		sum := 0.0
		for _, v := range x[i : i+960] {
			sum += float64(v) * float64(v)
		}
		level = append(level, 10*math.Log10(sum+1e-20))
	}
	var tops []float64
	for c := range slices.Chunk(level, 200) {
		tops = append(tops, slices.Max(c))
	}
	slices.Sort(tops)
	floor := tops[len(tops)/2] - 30
	longest, now := 0, 0
	for _, l := range level {
		if l >= floor {
			now = 0
			continue
		}
		now += 5
		longest = max(longest, now)
	}
	return longest
}

// A slow tune on any instrument, a second a note, from string to string, position to position and by glides, has no hole: it never lies 30 dB
// down for over 100 ms. A rest that is written is seen as one.
func TestSlowTuneHasNoHoles(t *testing.T) {
	rigs := rig.Builtins()
	if len(rigs) == 0 {
		t.Fatal("there are no rigs")
	}
	for _, r := range rigs {
		tb := makeTab(t, r, 120,
			note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 7, len: 2}, note{str: 3, fret: 12, len: 2}, note{str: 2, fret: 12, len: 2},
			note{str: 4, fret: 3, len: 1, glide: true}, note{str: 4, fret: 8, len: 1, attack: tab.Glided}, note{str: 1, len: 2}, note{str: 3, fret: 10, len: 2},
			note{str: 5, fret: 7, len: 2}, note{str: 6, len: 2}, note{str: 6, fret: 5, len: 2})
		a, err := Render(tb, Options{Dry: true})
		if err != nil {
			t.Fatal(err)
		}
		got := longestHole(a.Channels[0], 0.05, 9.9)
		t.Logf("%s: %d ms", r.Name, got)
		if got > 100 {
			t.Errorf("%s: a hole of %d ms", r.Name, got)
		}
	}
	rested, err := Render(makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60, note{str: 1, fret: 5, len: 3}, note{str: 1, fret: 5, len: 4}), Options{Dry: true})
	if err != nil {
		t.Fatal(err)
	}
	if got := longestHole(rested.Channels[0], 0.05, 6); got < 500 {
		t.Errorf("in a rest of a second a hole of %d ms is seen", got)
	}
}

// clicksIn finds clicks: samples whose third difference is more than 3.5 times as high as any from 0.8 to 20 ms before
// and from 0.8 to 20 ms after. A stroke is none, since what it sets going is as sharp a period later, nor is a burst of noise, which
// goes on; a step, a sample astray, a hole or a splice is.
func clicksIn(x []float32) []int {
	const near, far, times = 40, 960, 3.5
	jerk := make([]float64, len(x))
	for i := 3; i < len(x); i++ {
		jerk[i] = math.Abs(float64(x[i]) - 3*float64(x[i-1]) + 3*float64(x[i-2]) - float64(x[i-3]))
	}
	const cell = 48
	tops := make([]float64, len(x)/cell+1)
	for i, v := range jerk {
		tops[i/cell] = max(tops[i/cell], v)
	}
	most := func(from, to int) float64 { // by whole cells where it can
		top := 0.0
		for i := max(0, from); i < min(to, len(x)); {
			if i%cell == 0 && i+cell <= to {
				top = max(top, tops[i/cell])
				i += cell
				continue
			}
			top = max(top, jerk[i])
			i++
		}
		return top
	}
	var out []int
	for i := far; i+far < len(x); i++ {
		if jerk[i] < 1e-5 || jerk[i] < tops[i/cell] {
			continue
		}
		if jerk[i] > times*most(i-far, i-near) && jerk[i] > times*most(i+near, i+far) {
			out = append(out, i)
		}
	}
	return out
}

// No instrument clicks in a piece that has all there is in it: a detector that says so
// finds three of four steps of a tenth and samples astray by a twentieth of the loudest, holes of half a millisecond and splices wherever they are planted in it.
func TestDetectorFindsNoClicks(t *testing.T) {
	rigs := rig.Builtins()
	if len(rigs) == 0 {
		t.Fatal("there are no rigs")
	}
	none := 0.0
	for _, r := range rigs {
		a, err := Render(everything(t, r.Name), Options{Contact: &none})
		if err != nil {
			t.Fatal(err)
		}
		x := a.Channels[0]
		for _, i := range clicksIn(x) {
			t.Errorf("%s: a click at %.4f s", r.Name, float64(i)/Rate)
		}
		top := float32(loudestOf(x))
		planted, found := 0, 0
		var kinds [4]int
		for k := range 40 {
			at := Rate/2 + k*4001
			if at+2*Rate > len(x) {
				break
			}
			y := slices.Clone(x)
			switch k % 4 {
			case 0:
				for i := at; i < len(y); i++ {
					y[i] += top / 10
				}
			case 1:
				y[at] += top / 20
			case 2:
				clear(y[at : at+24])
			case 3:
				y = slices.Delete(y, at, at+300)
			}
			planted++
			if slices.ContainsFunc(clicksIn(y[at-Rate/4:at+Rate/4]), func(i int) bool { return i > Rate/4-30 && i < Rate/4+60 }) {
				found++
				kinds[k%4]++
			}
		}
		t.Logf("%s: %d of %d planted clicks are found %v", r.Name, found, planted, kinds)
		if planted < 20 || found < planted*3/4 {
			t.Errorf("%s: of %d planted clicks %d are found", r.Name, planted, found)
		}
	}
}
