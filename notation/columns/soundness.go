package columns

import (
	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// CheckTab returns what tab.Check finds, as warnings about a file.
func CheckTab(t *tab.Tab, file string) fault.List {
	list := t.Check()
	for _, f := range list {
		f.File = file
	}
	return list
}

// CheckRead looks over what was read as a whole: all that tune.Check asks.
func CheckRead(t *tab.Tab, file string) error {
	faults := t.Tune.Check()
	for _, f := range faults {
		f.File = file
	}
	if len(faults) == 0 {
		return nil
	}
	return faults
}

// OnlyVoice is the voice of a tune that has one and says nothing of it.
var OnlyVoice = tune.Voice{ID: "1"}

// ReadChord reads a chord symbol, nil when the text is none.
func ReadChord(text string) *pitch.Chord {
	c, err := pitch.ParseChord(text)
	if err != nil {
		return nil
	}
	return &c
}
