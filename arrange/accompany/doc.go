// Package accompany makes a part that accompanies, from chord symbols: a tab like any
// other, in one of the feels of package feel.
//
// It isn't a search of its own for how to lay the steel: what a grip and a move cost
// is package grip's to say, and the finished part is placed by package arrange.
//
// # How it is made
//
// The bars as written are cut where the chord changes (spells). Every spell has its
// voicings: a grip of the chord on up to three strings, and the bass, the fifth and
// whatever else the feel walks through, on lower strings. Dynamic programming finds
// the cheapest sequence of voicings exactly: a voicing by what its grip costs and by
// the way from grip to bass and back, a step by what moving the steel costs and by how
// far the voices move. Then the feel's figures say which of it is struck when.
//
// Entry point: Accompany.
//
// Sources: figures, colours and prices are common practice, no source.
package accompany
