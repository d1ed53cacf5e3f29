// Package bravura carries the music font: see README.md for its version, source
// and licence.
package bravura

import _ "embed"

// OTF is the whole font file (OpenType with CFF outlines).
//
//go:embed bravura.otf
var OTF []byte
