package rig

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"lapwright/fault"
)

// maxBytes bounds a rig file; a rig of sixteen strings and as many benders
// takes some four thousand. It also keeps hostile nesting cheap.
const maxBytes = 64 << 10

// place is a 1-based line and byte column.
type place struct{ line, col int }

// document is a TOML text with the place of every key and value in it. Paths
// look like "scale", "steel.length" and "string[3].gauge", lists counted from 1.
type document struct {
	file   string
	root   map[string]any
	keys   map[string]place // where the key, or the table's header, stands
	values map[string]place
	typed  map[string]string // numbers and texts, as they are written
	asked  map[string]bool   // paths that the reader knows
	faults fault.List
}

// read takes a TOML text apart. The error is a fault.List.
func read(src []byte, file string) (*document, error) {
	d := &document{file: file, keys: map[string]place{}, values: map[string]place{}, typed: map[string]string{}, asked: map[string]bool{}}
	src = bytes.TrimPrefix(src, []byte("\ufeff")) // a byte order mark is no part of the text, and counts in no column
	if len(src) > maxBytes {
		d.faultAt(place{}, fmt.Sprintf("the file has %d bytes, and a rig has at most %d", len(src), maxBytes), "")
		return nil, d.faults
	}
	if i := invalidUTF8(src); i >= 0 {
		line := 1 + bytes.Count(src[:i], []byte("\n"))
		col := i - bytes.LastIndexByte(src[:i], '\n')
		d.faultAt(place{line, col}, fmt.Sprintf("byte %q is not UTF-8 text", src[i:i+1]), "a rig is a text file")
		return nil, d.faults
	}
	if err := toml.Unmarshal(src, &d.root); err != nil {
		var de *toml.DecodeError
		if !errors.As(err, &de) {
			d.faultAt(place{}, strings.TrimPrefix(err.Error(), "toml: "), "")
			return nil, d.faults
		}
		row, col := de.Position()
		d.faultAt(place{row, col}, strings.TrimPrefix(de.Error(), "toml: "), "")
		return nil, d.faults
	}
	d.locate(src)
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

// maxDeep bounds how many keys deep a place is noted; a rig's own keys lie
// three deep at most.
const maxDeep = 8

// locator notes where everything in a text stands.
type locator struct {
	doc   *document
	src   []byte
	lines []int // where each line starts
}

// locate walks the syntax of a text that the decoder has accepted.
func (d *document) locate(src []byte) {
	l := &locator{d, src, []int{0}}
	for i, c := range src {
		if c == '\n' {
			l.lines = append(l.lines, i+1)
		}
	}
	var p unstable.Parser
	p.Reset(src)
	counts := map[string]int{} // elements seen so far of each list of tables
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			path, first := "", place{}
			it := e.Key()
			for deep := 0; it.Next() && deep < maxDeep; deep++ {
				k := it.Node()
				if first == (place{}) {
					first = l.placeOf(int(k.Raw.Offset))
				}
				path = join(path, string(k.Data))
				if it.IsLast() && e.Kind == unstable.ArrayTable {
					counts[path]++
				}
				if c := counts[path]; c > 0 {
					d.keys[path] = first
					path += "[" + strconv.Itoa(c) + "]"
				}
			}
			table = path
			d.keys[path] = first
			d.values[path] = first
		case unstable.KeyValue:
			l.keyValue(e, table)
		}
	}
}

func (l *locator) placeOf(offset int) place {
	line := sort.SearchInts(l.lines, offset+1)
	return place{line, offset - l.lines[line-1] + 1}
}

func (l *locator) keyValue(e *unstable.Node, table string) {
	path := table
	it := e.Key()
	end := 0
	for deep := 0; it.Next(); deep++ {
		k := it.Node()
		end = int(k.Raw.Offset + k.Raw.Length)
		if deep >= maxDeep {
			continue
		}
		path = join(path, string(k.Data))
		if _, seen := l.doc.keys[path]; !seen {
			l.doc.keys[path] = l.placeOf(int(k.Raw.Offset))
		}
	}
	for end < len(l.src) && strings.IndexByte(" \t=", l.src[end]) >= 0 {
		end++
	}
	l.value(e.Value(), path, l.placeOf(end))
}

// value notes where a value stands; lists and tables within it are walked.
// For a list or table the parser gives no place, and near is taken.
func (l *locator) value(v *unstable.Node, path string, near place) {
	if v.Raw.Length > 0 {
		near = l.placeOf(int(v.Raw.Offset))
	}
	l.doc.values[path] = near
	switch v.Kind {
	case unstable.String, unstable.Integer, unstable.Float:
		l.doc.typed[path] = string(v.Data)
	case unstable.Array:
		it, i := v.Children(), 0
		for it.Next() {
			i++
			l.value(it.Node(), path+"["+strconv.Itoa(i)+"]", near)
		}
	case unstable.InlineTable:
		it := v.Children()
		for it.Next() {
			l.keyValue(it.Node(), path)
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// faultAt notes a fault at a place.
func (d *document) faultAt(w place, msg, hint string) {
	d.faults.Add(&fault.Fault{File: d.file, Line: w.line, Col: w.col, Msg: msg, Hint: hint})
}

// faultOn notes a fault on the value at a path, or on the nearest thing above
// it that the text has.
func (d *document) faultOn(path, msg, hint string) {
	d.faultAt(d.where(path), msg, hint)
}

func (d *document) where(path string) place {
	for path != "" {
		if w, ok := d.values[path]; ok {
			return w
		}
		if w, ok := d.keys[path]; ok {
			return w
		}
		cut := strings.LastIndexAny(path, ".[")
		path = path[:max(cut, 0)]
	}
	return place{1, 1}
}

// unknown notes a fault for every key that was not asked for.
func (d *document) unknown(known func(table string) []string) {
	paths := make([]string, 0, len(d.keys))
	for p := range d.keys {
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
		d.faultAt(d.keys[p], fmt.Sprintf("unknown key %q", p[cut+1:]), hint)
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
