package tune

import "strings"

// How the notes of a tune begin that say where it comes from rather than how it is
// played.
const (
	FromArea      = "Area: "
	FromBook      = "Book: "
	FromRecording = "Recording: "
	FromFile      = "File: "
	FromGroup     = "Group: "
	FromHistory   = "History: "
	FromScribe    = "Transcription: "
)

// Provenance reports whether a note of a tune says where it comes from.
func Provenance(note string) bool {
	for _, p := range [...]string{FromArea, FromBook, FromRecording, FromFile, FromGroup, FromHistory, FromScribe} {
		if strings.HasPrefix(note, p) {
			return true
		}
	}
	return false
}
