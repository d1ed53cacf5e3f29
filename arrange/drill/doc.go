// Package drill makes exercises for a rig: short tunes in a key, placed and graded like
// any other, with the speed to begin at and the one to reach.
//
// It is no method: what to practise when is for a teacher to say.
//
// Entry points: Kinds, Make, Caution.
//
// Sources: the exercises, their speeds and the words of care are common practice, no
// source.
package drill
