package sound

import (
	"testing"

	"lapwright/tab"
)

// What is tied, glided or bent into goes on from what the string sounds, with the steel on it; so does whatever a glide leads to. What
// is hammered on or pulled off goes on as well, but is a stroke of its own; a silent string has nothing to go on from.
func TestWhatGoesOn(t *testing.T) {
	for _, c := range []struct {
		attack            tab.Attack
		sounding, gliding bool
		carried, goesOn   bool
	}{
		{tab.Tied, true, false, true, true}, {tab.Glided, true, false, true, true}, {tab.BentTo, true, false, true, true},
		{tab.Picked, true, true, true, true}, {tab.Picked, true, false, false, false}, {tab.Harmonic, true, false, false, false},
		{tab.Hammered, true, false, false, true}, {tab.PulledOff, true, false, false, true},
		{tab.Tied, false, false, false, false}, {tab.Glided, false, true, false, false}, {tab.Hammered, false, false, false, false},
	} {
		h := &ringing{sounding: c.sounding, gliding: c.gliding}
		p := &tab.Pluck{Attack: c.attack}
		if h.carried(p) != c.carried || h.goesOn(p) != c.goesOn {
			t.Errorf("attack %d, sounding %v, gliding %v: carried %v, goes on %v", c.attack, c.sounding, c.gliding, h.carried(p), h.goesOn(p))
		}
		if h.carried(nil) || h.goesOn(nil) {
			t.Error("what is not plucked goes on")
		}
	}
}
