// Package neck draws necks: a chord, a scale or a grip on an instrument's
// strings and frets, to scale, and postcards of tunings and retunings.
//
// Lengths are millimetres, x along the neck from the nut to the right, y down,
// string 1 on top as the player sees it from above. A fret lies where it lies on
// the instrument, and a slant leans as the steel does.
//
// Entry points: Chord, Scale and Grip make a View; Page and Rows set views on
// paper; TuningCard and RetuningCard make postcards.
package neck
