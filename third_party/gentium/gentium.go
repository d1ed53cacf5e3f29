// Package gentium carries the text font: see README.md for its version, source
// and licence.
package gentium

import _ "embed"

// The whole font files (TrueType outlines).
var (
	//go:embed GentiumPlus-Regular.ttf
	Regular []byte
	//go:embed GentiumPlus-Italic.ttf
	Italic []byte
	//go:embed GentiumPlus-Bold.ttf
	Bold []byte
)
