// Package letters carries the widths of letters and the outlines of music
// symbols that sheets are laid out with, as tables made from the fonts beside
// it: see README.md for the form and the licences.
package letters

import _ "embed"

// Tables is the whole file; sheet/draw reads it.
//
//go:embed letters.bin
var Tables []byte

// Composed is how letters are composed of others; sheet/draw reads it.
//
//go:embed composed.bin
var Composed []byte
