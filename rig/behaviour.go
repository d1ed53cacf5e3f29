package rig

import (
	"lapwright/pitch"
	"lapwright/wire"
)

// Behaviour is how one string gives and sounds, beyond its load.
type Behaviour struct {
	Stretch wire.MM // how much longer it is at pitch than slack
	// Semitone is how far a peg or bender must draw it for one semitone up.
	Semitone wire.MM
	B        float64 // inharmonicity coefficient
	// Sharp5 and Sharp10 are how far its fifth and tenth partials lie above
	// whole multiples of the fundamental.
	Sharp5, Sharp10 pitch.Cents
	// Pressed is how far the pitch rises when the steel pushes it down by Depth at
	// the octave.
	Depth   wire.MM
	Pressed pitch.Cents
}

// Behaviour works out how string s (1-based) gives when the steel presses it
// down by depth. All of it follows the straight elastic model of the wire
// room: parts that give and string beyond nut and bridge add to travels.
func (r *Rig) Behaviour(s int, depth wire.MM) Behaviour {
	w := r.Strings[s-1].Wire
	key := r.OpenKey(s, 0)
	f := pitch.Equal(float64(key), r.Reference)
	b := Behaviour{
		Stretch:  w.Stretch(r.Scale, w.Tension(r.Scale, f)),
		Semitone: w.Travel(r.Scale, f, pitch.Equal(float64(key+1), r.Reference)),
		B:        w.Inharmonicity(r.Scale, f),
		Depth:    depth,
		Pressed:  w.Pressed(r.Scale, f, FretPlace(r.Scale, 12), depth),
	}
	b.Sharp5, b.Sharp10 = wire.Sharpening(b.B, 5), wire.Sharpening(b.B, 10)
	return b
}

// Bend is what one bender does to one string, engaged alone.
type Bend struct {
	BenderIndex int // into Rig.Benders
	String      int // 1-based
	Key         int // the key number it then sounds
	Pull        wire.Newtons
	Share       float64 // Pull over the least breaking load
	Travel      wire.MM // how far the bender draws the string; negative when it lets it out
}

// Bends returns every move of every bender, in the order of the benders.
func (r *Rig) Bends() []Bend {
	var out []Bend
	for i, b := range r.Benders {
		for _, m := range b.Moves {
			w := r.Strings[m.String-1].Wire
			key := r.OpenKey(m.String, 1<<i)
			f := pitch.Equal(float64(key), r.Reference)
			pull := w.Tension(r.Scale, f)
			out = append(out, Bend{
				BenderIndex: i, String: m.String, Key: key, Pull: pull, Share: float64(pull / w.BreakingLoad()),
				Travel: w.Travel(r.Scale, r.Strings[m.String-1].Open.Hz(r.Reference), f),
			})
		}
	}
	return out
}
