package lesson

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/arrange"
)

// Parts says what a lesson has for an instrument.
type Parts uint8

// The parts. The zero value is the tune alone.
const (
	TunePart   Parts = iota
	BackupPart       // what accompanies, made from the tune's chord symbols
	BothParts
)

var partNames = [...]string{"tune", "backup", "both"}

// String returns the word for the parts.
func (p Parts) String() string { return partNames[p] }

// HasTune and HasBackup report whether the tune, and whether the part that accompanies
// it, is among the parts.
func (p Parts) HasTune() bool   { return p != BackupPart }
func (p Parts) HasBackup() bool { return p != TunePart }

// Want is one instrument of a lesson as it is asked for.
type Want struct {
	Rig   string         // a name or a file
	Grade *arrange.Grade // nil for the one that all have
	Parts Parts
}

// ParseWant reads an instrument as it is asked for: NAME, then in any order a grade
// (first, second or third) and what it is to have (tune, backup or both), each after a
// colon. Rig may be a file's path with colons of its own: only words without a dot or
// a slash after the last of them are read as wishes.
func ParseWant(text string) (Want, error) {
	w := Want{Rig: text}
	var grade, parts string
	for {
		i := strings.LastIndexByte(w.Rig, ':')
		if i <= 0 || strings.ContainsAny(w.Rig[i:], `./\`) {
			return w, nil
		}
		word := w.Rig[i+1:]
		seen := &grade
		if g := slices.IndexFunc(arrange.Grades, func(g arrange.Grade) bool { return g.String() == word }); g >= 0 {
			w.Grade = &arrange.Grades[g]
		} else if p := slices.Index(partNames[:], word); p >= 0 {
			seen, w.Parts = &parts, Parts(p)
		} else {
			return Want{}, fmt.Errorf("%q in %q is no grade (first, second or third) and none of tune, backup and both", word, text)
		}
		if *seen != "" {
			return Want{}, fmt.Errorf("%q asks for %q and %q: one of them is enough", text, word, *seen)
		}
		*seen, w.Rig = word, w.Rig[:i]
	}
}
