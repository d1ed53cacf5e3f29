// Package amp is what stands between a steel guitar's pickup and the air: a soft
// drive, a spring reverberation and a loudspeaker. It knows nothing of strings.
//
// Conventions: one channel of samples at filter.Rate, in any unit: the caller says how high an ordinary
// stroke's peak is. Nothing here allocates while it sounds, and blocks of any size give the same samples.
//
// Entry points: New, Amplifier.Process, NewSpring.
//
// Sources: R. A. Valenzuela and A. G. Constantinides, Digital signal processing schemes for efficient interpolation
// and decimation, IEE Proceedings G 130(6), 1983 (half-band filters from two chains of allpass sections); J. Parker and S. Bilbao,
// Spring reverberation: a physical perspective, DAFx 2009, and V. Välimäki, J. Parker and J. S. Abel, Parametric
// spring reverberation effect, Journal of the Audio Engineering Society 58, 2010, both from memory.
package amp
