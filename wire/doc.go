// Package wire is the physics of one string: gauge, mass per length, tension,
// break margin and stiffness.
//
// A String is a thing that can be bought: a diameter, a construction and a
// material. It has no pitch and no length until something asks what it does
// at one. Lengths are millimetres, masses per length kilograms per metre,
// forces newtons, stresses megapascals, shares fractions of one. What is not
// known exactly has a relative half-width beside it, named …Spread.
//
// Entry points: String.MassPerLength, Pull, Sounds, String.BreakingLoad,
// String.Tension, Sharpening, String.Stretch, String.Travel, String.Pressed, Sold.
//
// Sources: the formulas and tables each name theirs. Tensile strengths are of
// ASTM A228 and A313 as a supplier publishes them; the core ratios that makers
// keep to themselves are typical ones, and marked so.
package wire
