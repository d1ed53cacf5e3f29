// Package rigtest gives tests their instruments: the built-in ones by name, one
// whose geometry is worked out by hand, and random ones.
//
// Entry points: Builtin, OpenD, Strung.
package rigtest
