// Package filter has the small filters that sounds are shaped with, at one sample rate.
//
// Entry points: LowPass, HighPass, Peak, NewBiquad, NewResonance.
//
// Source: R. Bristow-Johnson, Cookbook formulae for audio EQ Biquad filter coefficients (W3C note, 2021).
package filter
