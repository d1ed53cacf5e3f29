// Package bar is the geometry of the steel: from where it is laid and how it
// leans to the contact point and pitch of every string.
//
// Axes: x runs along the strings from nut to bridge, y across them from string
// 1 towards the player; both in millimetres. A placement is a straight line
// fixed by the frets under the first and last string it touches. Angles are in
// degrees from square; positive is a forward slant (string 1's side at the
// higher fret), negative a reverse slant.
package bar
