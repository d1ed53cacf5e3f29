// Package loudness measures how loud a sound is and keeps its peaks under a ceiling, a piece at a time.
//
// Entry points: Meter, Limiter.
//
// Source: ITU-R BS.1770-4, 2015.
package loudness
