package workbench

import "lapwright/rig"

// HowToRecord says in short where the microphone goes for a kind of instrument, and what
// else makes a take that can be heard well (common practice, no source).
func HowToRecord(b rig.Body) []string {
	where := "Aim at the body where the neck joins it, not straight into the sound hole, which booms."
	near := "A hand's breadth and a half away, about 30 cm."
	switch b {
	case rig.SquareNeckResonator:
		where = "Aim between the cone's cover and the sound ports in the upper part of the body: the cone alone is harsh, the ports alone boom."
	case rig.Tricone:
		where = "Aim at the middle of the cover plate from a little to the side, where all three cones are heard."
	case rig.HollowNeckAcoustic:
		where = "Aim over the sound hole from above the strings: the hollow neck sounds along with the body."
	case rig.LapSteel, rig.PedalSteel:
		where = "Take it straight from the output, through an instrument input, without effects. Before a loudspeaker, a hand's breadth from the edge of the cone."
		near = "Through a microphone in the room the loudspeaker is heard twice, and that blurs the pitch."
	}
	return []string{
		where, near,
		"Set the level so that the loudest stroke stays clear of the top; what is cut off flat can't be mended.",
		"A room with carpet and curtains, doors shut, no fan; the telephone on the table hums along with the strings.",
		"Tune first, and play one open string before you begin: it tells tuning from hand.",
		"Backing belongs in earphones: what the microphone hears beside you is heard as yours.",
	}
}
