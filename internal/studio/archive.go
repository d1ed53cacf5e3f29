package studio

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"
)

// The archive of a whole studio: a zip with a list of its items, studio.json,
// for each item a list of its revisions, and each revision's body and settings
// as plain files of their own. Version 1 had all lists in studio.json, settings
// included, and is still read.
const (
	archiveFormat  = "lapwright studio"
	archiveVersion = 2
	archiveList    = "studio.json"
)

// The bounds on an archive. Export keeps to them as well, so that what it
// writes is taken in again.
var (
	maxArchived  = int64(4 << 30) // bytes of all bodies, settings and lists, unpacked
	maxItems     = 100_000
	maxRevisions = 1_000_000
)

// archive is studio.json. Items is version 1's.
type archive struct {
	Format  string   `json:"format"`
	Version int      `json:"version"`
	Form    int      `json:"form"`  // in which the items are written; 0 is 1
	Lists   []string `json:"lists"` // files, one an item
}

type archivedItem struct {
	ID        string             `json:"id"`
	Kind      Kind               `json:"kind"`
	Created   time.Time          `json:"created"`
	Trashed   *time.Time         `json:"trashed,omitempty"`
	Demo      bool               `json:"demo,omitempty"`
	Current   int                `json:"current"`
	Revisions []archivedRevision `json:"revisions"`
}

type archivedRevision struct {
	Number   int             `json:"number"`
	Parent   int             `json:"parent,omitempty"`
	Saved    time.Time       `json:"saved"`
	Why      string          `json:"why"`
	Title    string          `json:"title"`
	File     string          `json:"file"`               // with the body
	Settings string          `json:"settings,omitempty"` // file with the settings; none are {}
	Sum      string          `json:"sum,omitempty"`      // see digest, in hex
	Extra    json.RawMessage `json:"extra,omitempty"`    // version 1: the settings themselves

	spooled span // version 1: where the settings wait
}

// ending is what a kind's body is called as a file.
func (k Kind) ending() string {
	switch k {
	case Rig:
		return ".toml"
	case Tune:
		return ".abc"
	}
	return ".json"
}

// digest is the SHA-256 of a revision's title, body and settings, a zero byte
// between them, the settings without white space.
func digest(title, body string, extra json.RawMessage) [sha256.Size]byte {
	var tidy bytes.Buffer
	if json.Compact(&tidy, extra) != nil {
		tidy.Reset()
		tidy.Write(extra)
	}
	return sha256.Sum256([]byte(title + "\x00" + body + "\x00" + tidy.String()))
}

func digestText(title, body string, extra json.RawMessage) string {
	sum := digest(title, body, extra)
	return hex.EncodeToString(sum[:])
}

// BadArchive is an archive that is not taken in. Nothing was changed.
type BadArchive struct{ Say string }

// Error says what is wrong with it.
func (b *BadArchive) Error() string { return b.Say }

func bad(format string, a ...any) error { return &BadArchive{fmt.Sprintf(format, a...)} }

// broken says what is wrong with a file of an archive, in place of the words of the
// library that met it.
func broken(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var moment *time.ParseError
	var packed flate.CorruptInputError
	switch {
	case errors.Is(err, zip.ErrChecksum), errors.Is(err, zip.ErrFormat), errors.As(err, &packed):
		return "it is damaged"
	case errors.Is(err, zip.ErrAlgorithm):
		return "it is packed in a way that is not known here"
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return "it is broken off"
	case errors.As(err, &syntax):
		return fmt.Sprintf("it is not JSON near byte %d", syntax.Offset)
	case errors.As(err, &moment):
		return fmt.Sprintf("%q is no time", moment.Value)
	case errors.As(err, &kind) && kind.Field != "":
		return fmt.Sprintf("a %s is no value for %q", kind.Value, kind.Field)
	case errors.As(err, &kind):
		return fmt.Sprintf("a %s stands where another kind of value should", kind.Value)
	}
	return err.Error()
}
