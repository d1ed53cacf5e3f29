// Package listen hears a take: it follows the pitch of a recording, finds where
// strings are plucked, lays that against a tab, and says note by note and string
// by string where the steel was.
//
// It knows no files: samples come in by Ear.Hear in blocks of any size, and what
// comes out does not depend on the blocks. Times are seconds from the first
// sample; cents are sharp positive; millimetres are positive towards the bridge.
//
// The pitch of a string is that of the harmonic series nearest to its partials
// up to 2.5 kHz, each weighted by its number and strength (the least squares of
// Quinn and Thomson 1991). A stiff string's partials lie above whole multiples
// (wire.String.Inharmonicity), so this pitch lies above its first partial by
// about the sharpening of partials in the middle, as for the ear and for a tuner.
//
// Entry points: NewEar, Take.Pitches, Take.Onsets, Take.Line, Review.
//
// Sources, but for those of yin: F. Auger and P. Flandrin, Improving the
// readability of time-frequency representations by the reassignment method, IEEE
// Transactions on Signal Processing 43(5), 1995; S. Böck and G. Widmer, Maximum
// filter vibrato suppression for onset detection, DAFx 2013; S. Dixon and G.
// Widmer, MATCH, ISMIR 2005; B. G. Quinn and P. J. Thomson, Estimating the
// frequency of a periodic function, Biometrika 78(1), 1991; W. S. Cleveland,
// Robust locally weighted regression, JASA 74(368), 1979.
package listen
