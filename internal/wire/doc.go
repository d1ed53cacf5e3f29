// Package wire is the physics of one string: gauge, mass per length, tension,
// break margin and stiffness.
//
// A String is a thing that can be bought: a diameter, a construction and a
// material. It has no pitch and no length until something asks what it does
// at one. Lengths are millimetres, masses per length kilograms per metre,
// forces newtons, stresses megapascals.
//
// Entry points: String.MassPerLength, Tension, String.BreakingLoad, Inharmonicity.
package wire
