package toml

import "strconv"

// Place is a line and a byte column, both from 1.
type Place struct{ Line, Col int }

// Fault is where a text is no TOML, and why.
type Fault struct {
	At  Place
	Msg string
}

// Error implements error.
func (f *Fault) Error() string {
	return strconv.Itoa(f.At.Line) + ":" + strconv.Itoa(f.At.Col) + ": " + f.Msg
}

// Moment is a date, a time of day or both, as it is written.
type Moment string

// Document is a text that was read.
type Document struct {
	// Root holds values as string, int64, float64, bool, Moment, []any and map[string]any.
	Root   map[string]any
	Keys   map[string]Place // where the key, or the table's header, stands
	Values map[string]Place
	Typed  map[string]string // numbers and texts, as they are written; of texts what they say
}

// maxDeep bounds how many keys deep a place is noted, and maxNested how deep lists and
// tables stand in each other: rigs and tunings have three and two.
const (
	maxDeep   = 8
	maxNested = 1000
)

// kind is how a key came to be.
type kind uint8

const (
	given    kind = iota // a value, which is not added to
	implied              // a table that the header of another names on its way
	headed               // a table with a header of its own
	dotted               // a table that a dotted key names on its way
	listed               // a list of tables, each with a header
	embedded             // a table within a value
)

// entry is a key that has been seen.
type entry struct {
	kind kind
	in   map[string]any // of a table: its values; of a list of tables: those of the last
	keys map[string]*entry
}

func newEntry(k kind) *entry { return &entry{k, map[string]any{}, map[string]*entry{}} }

// add takes a table into another.
func (e *entry) add(key string, k kind) *entry {
	c := newEntry(k)
	e.keys[key], e.in[key] = c, c.in
	return c
}

// key is one part of a dotted key.
type key struct {
	text string
	at   int
}

// Read takes a text in UTF-8 apart. The error is a Fault.
func Read(src []byte) (doc *Document, err error) {
	c := &cursor{src: src, lines: []int{0}}
	r := &reader{figures: figures{c}, counts: map[string]int{}, doc: &Document{Keys: map[string]Place{}, Values: map[string]Place{}, Typed: map[string]string{}}}
	for i, b := range src {
		if b == '\n' {
			c.lines = append(c.lines, i+1)
		}
	}
	defer func() {
		switch p := recover().(type) {
		case nil:
		case *Fault:
			doc, err = nil, p
		default:
			panic(p)
		}
	}()
	r.document()
	return r.doc, nil
}

// document reads line by line.
func (r *reader) document() {
	root := newEntry(headed)
	r.doc.Root = root.in
	table, path := root, ""
	for {
		r.blanks()
		switch {
		case r.at == len(r.src):
			return
		case r.peek() == '[':
			table, path = r.header(root)
		default:
			r.keyValue(table, path)
		}
		r.skipSpace()
		if r.at < len(r.src) && !r.lineEnd() && r.peek() != '#' {
			r.failHere("expected the line to end, and got %s", r.seen())
		}
	}
}

// header reads the header of a table or of a list's next table, and returns it with its path.
func (r *reader) header(root *entry) (*entry, string) {
	list := r.take("[[")
	if !list {
		r.take("[")
	}
	keys := r.keys()
	if closing := map[bool]string{false: "]", true: "]]"}[list]; !r.take(closing) {
		r.failHere("expected %q to close the name of a table", closing)
	}
	table := root
	for i, k := range keys {
		c, last := table.keys[k.text], i == len(keys)-1
		switch {
		case c == nil && last && list:
			c = newEntry(listed)
			table.keys[k.text], table.in[k.text] = c, []any{c.in}
		case c == nil && last:
			c = table.add(k.text, headed)
		case c == nil:
			c = table.add(k.text, implied)
		case c.kind == given:
			r.fail(k.at, "%s is given as a value already", k.text)
		case last && list && c.kind == listed:
			c.in, c.keys = map[string]any{}, map[string]*entry{}
			table.in[k.text] = append(table.in[k.text].([]any), c.in)
		case last && !list && c.kind == implied:
			c.kind = headed
		case last:
			r.fail(k.at, "%s is given as a table already", k.text)
		}
		table = c
	}
	return table, r.noteHeader(keys, list)
}

// noteHeader notes where a header stands, and returns its path.
func (r *reader) noteHeader(keys []key, list bool) string {
	path, first := "", r.place(keys[0].at)
	for i, k := range keys[:min(len(keys), maxDeep)] {
		path = Join(path, k.text)
		if list && i == len(keys)-1 {
			r.counts[path]++
		}
		if n := r.counts[path]; n > 0 {
			r.doc.Keys[path] = first
			path += index(n)
		}
	}
	r.doc.Keys[path], r.doc.Values[path] = first, first
	return path
}

// keyValue reads a key and its value into a table.
func (r *reader) keyValue(table *entry, path string) {
	keys := r.keys()
	for _, k := range keys[:min(len(keys), maxDeep)] {
		path = Join(path, k.text)
		if _, seen := r.doc.Keys[path]; !seen {
			r.doc.Keys[path] = r.place(k.at)
		}
	}
	if !r.take("=") {
		r.failHere(`expected "=" after a key`)
	}
	r.skipSpace()
	v := r.value(path)
	for i, k := range keys {
		c := table.keys[k.text]
		switch {
		case i == len(keys)-1 && c == nil:
			table.keys[k.text], table.in[k.text] = &entry{kind: given}, v
			return
		case c == nil:
			c = table.add(k.text, dotted)
		case i == len(keys)-1 || c.kind != dotted:
			r.fail(k.at, "%s is given already", k.text)
		}
		table = c
	}
}

// Join returns the path of a key in the table at a path; "" is the whole text.
func Join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func index(n int) string { return "[" + strconv.Itoa(n) + "]" }
