package workbench

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
)

// Keepable refuses what could be saved and not be read again: settings, or the
// body of a grip or lesson, with something of another kind than is expected.
func Keepable(kind studio.Kind, c studio.Content) error {
	switch kind {
	case studio.Tune:
		var x report.TuneSettings
		return asExpected(c.Extra, "the settings", &x)
	case studio.Grip:
		var g keptGrip
		return asExpected([]byte(c.Body), "the grip", &g)
	case studio.Lesson:
		var l report.LessonPlan
		return asExpected([]byte(c.Body), "the lesson", &l)
	case studio.Take:
		var k report.KeptTake
		return asExpected([]byte(c.Body), "the take", &k)
	}
	return nil
}

func asExpected(text []byte, what string, to any) error {
	if len(text) == 0 {
		return nil
	}
	err := json.Unmarshal(text, to)
	if err == nil {
		return nil
	}
	return &fault.Fault{Msg: fmt.Sprintf("%s can't be kept: %s", what, expected(err))}
}

// expected says what is wrong with JSON of another kind than it should be.
func expected(err error) string {
	if kind, ok := err.(*json.UnmarshalTypeError); ok && kind.Field != "" {
		return fmt.Sprintf("a %s is no value for %q", kind.Value, kind.Field)
	}
	return "it is not written as it should be"
}

// readKept reads JSON that the studio keeps.
func readKept(b []byte, what string, v any) error {
	if json.Unmarshal(b, v) != nil {
		return &fault.Fault{Msg: "what is kept of " + what + " can't be read; an earlier revision may be"}
	}
	return nil
}

// untitled is the title of what has none.
const untitled = "Untitled"

// TitleOf returns a text as an item's title: as long as a title may be, and never
// empty.
func TitleOf(text string) string {
	title := strings.TrimSpace(text)
	if len(title) > studio.MaxTitle {
		title = strings.ToValidUTF8(title[:studio.MaxTitle], "")
	}
	return cmp.Or(title, untitled)
}

// bendersOf returns the set of the benders with some letters, and the letters
// that the rig does not have.
func bendersOf(g *rig.Rig, letters []string) (set rig.BenderSet, gone []string) {
	for _, l := range letters {
		if i := slices.IndexFunc(g.Benders, func(b rig.Bender) bool { return b.Mark == l }); i >= 0 {
			set |= 1 << i
		} else {
			gone = append(gone, l)
		}
	}
	return set, gone
}

// benderWords says "bender B" or "benders B and C". A bender that was kept by
// its place on a rig that is not known goes by that: "the bender no. 2".
func benderWords(letters []string) string {
	if len(letters) == 1 {
		if number, ok := strings.CutPrefix(letters[0], "#"); ok {
			return "bender no. " + number
		}
		return "bender " + letters[0]
	}
	return "benders " + strings.Join(letters, " and ")
}

// told returns a fault of what was sent in place of an error of a room above that
// has no place in it.
func told(err error) error {
	if err == nil {
		return nil
	}
	return &fault.Fault{Msg: err.Error()}
}
