// Package steel is the geometry of the steel: from where it is laid and how it
// leans to the contact point and pitch of every string.
//
// Axes: x runs along the strings from nut to bridge, y across them from string
// 1 towards the player, 0 on the centre line of the neck; both in millimetres.
// A placement is a straight line fixed by the frets under the first and last
// string it touches. Angles are in degrees from square; positive is a forward
// slant (string 1's side at the higher fret), negative a reverse slant.
//
// Strings fan out from nut to bridge, so where the steel crosses a string decides
// how far across the neck that string lies there; both are solved together.
//
// Under the round nose of a bullet steel a string is stopped at the nose's
// centre, however the steel leans: the string's own upright plane cuts the nose
// in a circle whose lowest point is there. That is what makes a split possible.
//
// Entry points: New, Geometry.Contact, Geometry.Key, Geometry.Angle,
// Geometry.Check, Geometry.Clears.
package steel
