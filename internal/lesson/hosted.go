package lesson

import (
	_ "embed"
	"encoding/json"
	"path"
	"slices"

	"lapwright/internal/take"
)

//go:embed page/keep.js
var keepScript string

//go:embed page/capture.js
var captureScript []byte

// keepFile is the script that keeps a hosted lesson on the device.
const keepFile = "keep.js"

// kept is what the script that keeps a hosted lesson is told: the lesson's digest, and for
// each file that is kept its SHA-256 in hex.
type kept struct {
	Digest string            `json:"digest"`
	Files  map[string]string `json:"files"`
}

// hostedFiles returns the lesson for a web space, in whatever folder of it: the page
// brings the program and the recordings from files beside it, and a service worker
// (W3C, Service Workers) keeps all of it on the device but FLAC and WAVE.
func (l *Lesson) hostedFiles() ([]File, error) {
	var beside []File
	put := func(name, ext string, b []byte) pageBytes {
		file := name + "-" + shortDigest(b) + ext
		if !slices.ContainsFunc(beside, func(f File) bool { return f.Name == file }) {
			beside = append(beside, File{file, b})
		}
		return pageBytes{File: file}
	}
	capture := put("capture", ".js", captureScript).File
	page, err := l.page(true, l.hostedPolicy(), keepFile, capture, put)
	if err != nil {
		return nil, err
	}
	files, err := l.around(page, beside...)
	if err != nil {
		return nil, err
	}
	k := kept{Files: map[string]string{}}
	for _, f := range files {
		if ext := path.Ext(f.Name); ext != ".flac" && ext != ".wav" {
			k.Files[f.Name] = take.Digest(f.Bytes)
		}
	}
	all, err := json.Marshal(k.Files) // its keys are sorted
	if err != nil {
		return nil, err
	}
	k.Digest = shortDigest(append(all, keepScript...))
	told, err := json.Marshal(k)
	if err != nil {
		return nil, err
	}
	return append(files, File{keepFile, []byte("self.lesson=" + string(told) + ";\n" + keepScript)}), nil
}
