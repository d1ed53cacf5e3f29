package whole

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Trouble is a file or folder that could not be written. Nothing was left half
// done.
type Trouble struct {
	Say string // what is wrong, the path in quotes
	// Misnamed says that another name puts it right: the place is not there,
	// may not be written to, or holds something that would be lost. Otherwise
	// it is the machine's trouble, such as a full disk.
	Misnamed bool
	Err      error // what the system said; may be nil
}

// Error returns the words.
func (t *Trouble) Error() string { return t.Say }

// Unwrap returns the system's own error.
func (t *Trouble) Unwrap() error { return t.Err }

func misnamed(format, path string) error {
	return &Trouble{Say: fmt.Sprintf(format, path), Misnamed: true}
}

// plain says what could not be done to which path and why, without the name of
// the temporary file.
func plain(done, path string, err error) error {
	if err == nil {
		return nil
	}
	t := &Trouble{Misnamed: true, Err: err}
	why := ""
	reason := Why(err)
	switch {
	case reason == Missing && !isFolder(filepath.Dir(path)):
		why = "there is no such folder"
	case reason == NotFolder:
		why = "a part of that path is a file and no folder"
	case reason == Denied, reason == ReadOnly, reason == Missing:
		why = "nothing may be written there"
	case reason == TooLong:
		why = "the name is too long"
	case reason == InUse:
		why = "another program has it open; close it there and try again"
	case reason == Full:
		t.Misnamed, why = false, "the disk is full"
	default:
		t.Misnamed = false
		cause := err
		var pe *fs.PathError
		var le *os.LinkError
		switch {
		case errors.As(err, &pe):
			cause = pe.Err
		case errors.As(err, &le):
			cause = le.Err
		}
		why = strings.ToLower(cause.Error())
	}
	t.Say = fmt.Sprintf("%q can't be %s: %s", path, done, why)
	return t
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}
