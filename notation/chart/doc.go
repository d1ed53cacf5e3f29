// Package chart reads and writes a chart: chord names or numbers, bar by bar, as
// players jot them down. What comes of it is a tune of rests with chord symbols.
//
// It isn't a notation of melodies: who has notes writes ABC.
//
// docs/formats/chart.md says what stands in a chart. Entry points: Read, Write.
package chart
