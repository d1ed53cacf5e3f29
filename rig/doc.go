// Package rig describes one instrument as it is set up: body, scale, strings
// and their tuning, benders, capo and the player's steel.
//
// Conventions: string 1 is the one farthest from the player's body, usually
// the highest; Strings[0] is string 1. Tunings are written low to high. Frets
// are counted from the nut (0 is the open string) or, once WithCapo has been
// applied, from the capo. Lengths are millimetres.
//
// Entry points: Read, Parse, Format, Builtin, Rig.WithCapo, Rig.OpenKey.
package rig
