package abc

import (
	"lapwright/fault"
	"lapwright/notation/abc/writing"
	"lapwright/tune"
)

// Write returns a tune as ABC 2.1 and lists, by bar and beat, what ABC can't say:
// reading the text again gives the tune but for that. The tune must be one that
// Check finds nothing wrong with. docs/formats/abc.md names every loss.
func Write(t *tune.Tune) ([]byte, fault.List) { return writing.Tune(t) }
