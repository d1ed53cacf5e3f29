package refcheck

import (
	"context"
	"math"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/internal/lesson"
	"lapwright/rig"
	"lapwright/sound"
)

// TestForetoldGain: a page turns an instrument up by what some stretches of the piece
// say, and comes within 1.5 LU of what the whole piece says: that is less than two
// recordings of one programme usually differ by (EBU R 128 allows ±1 LU live).
func TestForetoldGain(t *testing.T) {
	demos, err := lesson.Demos()
	if err != nil {
		t.Fatal(err)
	}
	rigs := rig.Builtins()
	tried, worst := 0, 0.0
	for k, d := range demos {
		for i, r := range rigs {
			if (i+k)%further.Few(10, 2) != 0 {
				continue
			}
			res, err := arrange.Arrange(context.Background(), d.Tune, r, arrange.Options{})
			if err != nil {
				continue // some tunes do not lie on some instruments
			}
			whole, err := sound.Gain(res.Tab, sound.Options{})
			if err != nil {
				t.Fatal(err)
			}
			soon, err := sound.ForetoldGain(res.Tab, sound.Options{})
			if err != nil {
				t.Fatal(err)
			}
			tried++
			worst = max(worst, math.Abs(soon-whole))
			if math.Abs(soon-whole) > 1.5 {
				t.Errorf("%s on %s: foretold %.2f dB, measured %.2f", d.Tune.Title, r.Name, soon, whole)
			}
		}
	}
	if tried < 3 {
		t.Fatalf("%d tried", tried)
	}
	t.Logf("%d tabs, worst %.2f dB", tried, worst)
}
