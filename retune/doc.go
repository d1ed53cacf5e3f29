// Package retune weighs one setting-up of an instrument against another:
// tunings within reach, the way from one to the next, string sets, and what two
// rigs share.
//
// Conventions: string 1 first in every slice, tunings low to high in every
// text; pulls in newtons, gauges in millimetres; a "move" is a string brought
// from one pitch to another.
//
// Entry points: Catalogue, ParseTuning, Retuned, NewPlan, NewTuned, Reach,
// NewDesign, Compare, Runs.
//
// Sources: the physics is wire's; judgements of load are rig's. The tunings of
// the catalogue are common practice, each so marked.
package retune
