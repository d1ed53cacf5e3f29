// Package dejavu carries the sans-serif font: see README.md for its version,
// source and licence.
package dejavu

import _ "embed"

// The whole font files (TrueType outlines).
var (
	//go:embed DejaVuSansCondensed.ttf
	Regular []byte
	//go:embed DejaVuSansCondensed-Bold.ttf
	Bold []byte
)
