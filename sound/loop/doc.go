// Package loop is one direction of motion of a string: a delay line read between its samples, with what the string loses
// and how stiff it is, fed back through whatever holds its end. The line grows and shrinks while it sounds.
//
// Conventions: samples at filter.Rate; the wave at the bridge is what is read (Arrive) and what is sent off (Leave), once each a sample.
//
// Entry points: New, Loop, Stiffness, PhaseDelay.
//
// Sources: T. I. Laakso et al., Splitting the Unit Delay, IEEE Signal Processing Magazine 13(1), 1996; J. Pakarinen et
// al., Computer Music Journal 32(3), 2008.
package loop
