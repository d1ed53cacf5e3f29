package lesson

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"lapwright/internal/whole"
	"lapwright/notation/abc"
	"lapwright/report"
)

// Format is what lesson.json calls itself.
const Format = "lapwright lesson"

// Record says what the lesson holds: it is the content of lesson.json.
func (l *Lesson) Record() report.Lesson {
	r := report.Lesson{Format: Format, Version: 1, Title: l.Title, Frame: l.Frame, Missing: l.Missing}
	for _, p := range l.Editions {
		r.Parts = append(r.Parts, p.Summary)
		for _, f := range p.files {
			r.Files = append(r.Files, f.Name)
		}
	}
	r.Files = append(r.Files, "handout.pdf", "tune.abc", "index.html", "lesson.json")
	return r
}

// Files returns everything that the lesson consists of. Of a hosted one the page brings the
// program and the recordings from files beside it, and a script keeps it on the device.
func (l *Lesson) Files() ([]File, error) {
	if l.Hosted {
		return l.hostedFiles()
	}
	page, err := l.Page(true)
	if err != nil {
		return nil, err
	}
	return l.around(page)
}

// around returns the files of the lesson with that page and what it brings from beside it.
func (l *Lesson) around(page []byte, beside ...File) ([]File, error) {
	var out []File
	for _, p := range l.Editions {
		out = append(out, p.files...)
	}
	// What ABC cannot say is in the other files; the tune is there to be read.
	text, _ := abc.Write(l.Tune)
	var record bytes.Buffer
	enc := json.NewEncoder(&record)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	written := l.Record()
	for _, f := range beside {
		written.Files = append(written.Files, f.Name)
	}
	if err := enc.Encode(written); err != nil {
		return nil, err
	}
	out = append(out, beside...)
	return append(out, File{"handout.pdf", l.handout}, File{"tune.abc", text}, File{"index.html", page}, File{"lesson.json", record.Bytes()}), nil
}

// Handout returns the words and all sheets as one PDF to print.
func (l *Lesson) Handout() []byte { return l.handout }

// File returns one of the files that a part holds.
func (l *Lesson) File(name string) ([]byte, error) {
	for _, p := range l.Editions {
		for _, f := range p.files {
			if f.Name == name {
				return f.Bytes, nil
			}
		}
	}
	return nil, fmt.Errorf("the lesson has no file %q", name)
}

// WriteFolder puts the lesson at path, whole or not at all. A lesson that is
// there already is replaced; a folder with anything else in it is left alone.
func (l *Lesson) WriteFolder(path string) error {
	files, err := l.Files()
	if err != nil {
		return err
	}
	return WriteFiles(path, IsLesson, files)
}

// WriteFiles puts files into a new folder at path, whole or not at all. A folder
// that is there already is replaced when mine reports it so; any other is left alone.
func WriteFiles(path string, mine func(dir string) bool, files []File) error {
	dir, err := whole.NewFolder(path, mine)
	if err != nil {
		return err
	}
	defer dir.Abandon()
	for _, f := range files {
		if err := dir.Write(f.Name, f.Bytes); err != nil {
			return err
		}
	}
	return dir.Keep()
}

// IsLesson reports whether a folder is a lesson that WriteFolder made.
func IsLesson(dir string) bool {
	b, err := os.ReadFile(filepath.Join(dir, "lesson.json"))
	var r report.Lesson
	return err == nil && json.Unmarshal(b, &r) == nil && r.Format == Format
}

// WriteZip writes the lesson as a zip with one folder of the given name in it.
// Every file has the time at.
func (l *Lesson) WriteZip(w io.Writer, folder string, at time.Time) error {
	files, err := l.Files()
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, f := range files {
		out, err := z.CreateHeader(&zip.FileHeader{Name: folder + "/" + f.Name, Method: zip.Deflate, Modified: at})
		if err == nil {
			_, err = out.Write(f.Bytes)
		}
		if err != nil {
			return fmt.Errorf("could not write the zip: %w", err)
		}
	}
	if err := z.Close(); err != nil {
		return fmt.Errorf("could not write the zip: %w", err)
	}
	return nil
}
