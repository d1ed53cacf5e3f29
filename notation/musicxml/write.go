package musicxml

import (
	"lapwright/fault"
	"lapwright/notation/musicxml/writing"
	"lapwright/tab"
	"lapwright/tune"
)

// Write returns a tab as MusicXML 4.0: one part with a staff of notes and, under
// it, the tablature of the same notes. A note that the rig can't play stands
// in the staff with its head in brackets and is missing from the tablature. It
// fails for a score that would be beyond what Read takes.
func Write(t *tab.Tab) ([]byte, error) { return writing.Tab(t) }

// WriteTogether returns several tabs of the same bars as one MusicXML 4.0 score: a part
// for each, as Write has it. The piece's title and what else is said of it are those of
// the first.
func WriteTogether(tabs []*tab.Tab) ([]byte, error) { return writing.Together(tabs) }

// WriteTune returns a tune as MusicXML 4.0: one part of one staff. It fails, as Write
// does, for a score that would be beyond what Read takes.
func WriteTune(t *tune.Tune) ([]byte, error) { return writing.Tune(t) }

// Lost lists what MusicXML has no place for in a tune, by bar: a text for each,
// as docs/formats/musicxml.md has it.
func Lost(t *tune.Tune) fault.List { return writing.Lost(t) }
