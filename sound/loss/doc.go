// Package loss says how fast the partials of a string die of the wire itself and of its two ends, and
// makes the filters that do the same to a wave going round.
//
// Entry points: Of, NewTable.
//
// Sources: at Law.
package loss
