// Package tunetest makes tunes for tests: random ones for property tests, and
// given ones from a line of text.
//
// Tunes returns valid tunes (Check finds nothing) that use all of the tune's
// vocabulary: several voices, meters and keys, ties and glides, tuplets, graces,
// repeats with endings, parts, signs, chord symbols, words and lyrics. They are
// in the form that readers give: bars numbered by tune.Number, endings closed by
// tune.EndEndings, and a rest that fills its bar is a bar rest.
package tunetest
