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

// WriteAll returns several tunes as one book, and lists what Write lists, tune by tune.
func WriteAll(ts []*tune.Tune) (book []byte, lost fault.List) {
	for i, t := range ts {
		b, l := Write(t)
		if i > 0 {
			book = append(book, '\n')
		}
		book, lost = append(book, b...), append(lost, l...)
	}
	return book, lost
}
