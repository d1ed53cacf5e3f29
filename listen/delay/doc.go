// Package delay measures how much later a microphone hears what a device sounds: the way out through its
// loudspeaker and back in.
//
// It knows neither clicks nor devices: what was sounded comes in as samples beside what was heard, on one clock.
//
// Entry point: Measure.
//
// Source: C. H. Knapp and G. C. Carter, The generalized correlation method for estimation of time delay, IEEE
// Transactions on Acoustics, Speech, and Signal Processing 24(4), 1976: the delay is where the cross-correlation
// is highest; here that of the analytic signals, normalized, so that a loudspeaker that turns the phase moves nothing.
package delay
