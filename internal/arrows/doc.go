// Package arrows knows the rooms of the program and their order: it reads them
// from the sources and draws docs/rooms.svg. Its tests check that the rooms
// import only upwards, that the core stays free of files, network, clock, chance
// and goroutines, that the picture is the tree's, and that no function, file,
// package or type outgrows its bound.
//
// Entry points: Files, Picture; the command internal/arrows/picture writes it.
package arrows
