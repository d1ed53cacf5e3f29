package rig

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/rig/toml"
)

// maxBytes bounds a rig file; a rig of sixteen strings and as many benders
// takes some four thousand. It also keeps hostile nesting cheap.
const maxBytes = 64 << 10

// document is a text that is read as a rig.
type document struct {
	*toml.Document
	file   string
	asked  map[string]bool // paths that the reader knows
	faults fault.List
}

// read takes a TOML text apart. The error is a fault.List.
func read(src []byte, file string) (*document, error) {
	d := &document{file: file, asked: map[string]bool{}}
	src = bytes.TrimPrefix(src, []byte("\ufeff")) // a byte order mark is no part of the text, and counts in no column
	if len(src) > maxBytes {
		d.faultAt(toml.Place{}, fmt.Sprintf("the file has %d bytes, and a rig has at most %d", len(src), maxBytes), "")
		return nil, d.faults
	}
	if i := invalidUTF8(src); i >= 0 {
		line := 1 + bytes.Count(src[:i], []byte("\n"))
		col := i - bytes.LastIndexByte(src[:i], '\n')
		d.faultAt(toml.Place{Line: line, Col: col}, fmt.Sprintf("byte %q is not UTF-8 text", src[i:i+1]), "a rig is a text file")
		return nil, d.faults
	}
	var err error
	if d.Document, err = toml.Read(src); err != nil {
		var f *toml.Fault
		if !errors.As(err, &f) {
			return nil, err
		}
		d.faultAt(f.At, f.Msg, "")
		return nil, d.faults
	}
	return d, nil
}

func invalidUTF8(src []byte) int {
	for i := 0; i < len(src); {
		r, n := utf8.DecodeRune(src[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// faultAt notes a fault at a place.
func (d *document) faultAt(w toml.Place, msg, hint string) {
	d.faults.Add(&fault.Fault{File: d.file, Line: w.Line, Col: w.Col, Msg: msg, Hint: hint})
}

// faultOn notes a fault on the value at a path, or on the nearest thing above
// it that the text has.
func (d *document) faultOn(path, msg, hint string) {
	d.faultAt(d.where(path), msg, hint)
}

func (d *document) where(path string) toml.Place {
	for path != "" {
		if w, ok := d.Values[path]; ok {
			return w
		}
		if w, ok := d.Keys[path]; ok {
			return w
		}
		cut := strings.LastIndexAny(path, ".[")
		path = path[:max(cut, 0)]
	}
	return toml.Place{Line: 1, Col: 1}
}

// unknown notes a fault for every key that was not asked for.
func (d *document) unknown(known func(table string) []string) {
	paths := make([]string, 0, len(d.Keys))
	for p := range d.Keys {
		paths = append(paths, p)
	}
	sort.Strings(paths)
	for _, p := range paths {
		if d.asked[p] || d.asked[indexless(p)] {
			continue
		}
		cut := strings.LastIndexByte(p, '.')
		above := p[:max(cut, 0)]
		if above != "" && !d.asked[above] && !d.asked[indexless(above)] {
			continue // the table itself is unknown, and is the one fault
		}
		hint := ""
		if words := known(indexless(above)); len(words) > 0 {
			hint = "known here: " + strings.Join(words, ", ")
		}
		d.faultAt(d.Keys[p], fmt.Sprintf("unknown key %q", p[cut+1:]), hint)
	}
}

// indexless drops the counts from a path: "string[3].gauge" is "string.gauge".
func indexless(path string) string {
	for {
		i := strings.IndexByte(path, '[')
		if i < 0 {
			return path
		}
		j := strings.IndexByte(path[i:], ']')
		if j < 0 {
			return path
		}
		path = path[:i] + path[i+j+1:]
	}
}
