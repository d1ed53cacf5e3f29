package rig

import (
	"lapwright/internal/pitch"
	"lapwright/internal/wire"
)

// Behaviour is how one string gives and sounds, beyond its load.
type Behaviour struct {
	Stretch wire.MM // how much longer it is at pitch than slack
	// Semitone is how far a peg or bender must draw it for one semitone up, and
	// Bend for its highest bend (0 when nothing bends it).
	Semitone wire.MM
	Bend     wire.MM
	B        float64 // inharmonicity coefficient
	// Sharp5 and Sharp10 are how far its fifth and tenth partials lie above
	// whole multiples of the fundamental.
	Sharp5, Sharp10 pitch.Cents
	// Pressed is how far the pitch rises when the bar pushes it down by Depth at
	// the octave.
	Depth   wire.MM
	Pressed pitch.Cents
}

// Behaviour works out how string s (1-based) gives when the bar presses it
// down by depth. All of it follows the straight elastic model of the wire
// room: parts that give and string beyond nut and bridge add to travels.
func (r *Rig) Behaviour(s int, depth wire.MM) Behaviour {
	w := r.Strings[s-1].Wire
	key := r.OpenKey(s, 0)
	f := pitch.Equal(float64(key), r.Reference)
	b := Behaviour{
		Stretch:  w.Stretch(r.Scale, w.Tension(r.Scale, f)),
		Semitone: w.Travel(r.Scale, f, pitch.Equal(float64(key+1), r.Reference)),
		Bend:     w.Travel(r.Scale, f, pitch.Equal(float64(r.HighestKey(s)), r.Reference)),
		B:        w.Inharmonicity(r.Scale, f),
		Depth:    depth,
		Pressed:  w.Pressed(r.Scale, f, FretPlace(r.Scale, 12), depth),
	}
	b.Sharp5, b.Sharp10 = wire.Sharpening(b.B, 5), wire.Sharpening(b.B, 10)
	return b
}
