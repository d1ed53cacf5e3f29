// Package yin tells which pitches a moment of a recording may have, each with its
// chance, and which of them a single line most likely went through.
//
// It is pYIN (M. Mauch and S. Dixon, pYIN: A fundamental frequency estimator using
// probabilistic threshold distributions, ICASSP 2014), which stands on YIN (A. de
// Cheveigné and H. Kawahara, JASA 111(4), 2002). It knows neither notes nor time:
// moments are samples, and what it says is near a pitch, within a tenth of a tone
// or so. Measuring is left to who knows the partials.
//
// Entry points: New, Yin.Candidates, Likeliest.
package yin
