package studio

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"time"

	"lapwright/internal/studio/form"
)

// opened is an archive whose lists have been read and found in order. Bodies
// and settings are read from it one at a time.
type opened struct {
	files map[string]*zip.File
	form  int
	items []archivedItem
	seen  map[string]bool // identities
	count int             // revisions
	left  int64           // bytes that may still be unpacked
	spool *spool
	rigs  *form.Rigs
}

// openArchive reads the lists of an archive. dir is where the settings of a
// version 1 archive wait meanwhile.
func openArchive(r io.ReaderAt, size int64, dir string) (*opened, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, bad("this is no zip file, or its end is missing")
	}
	a := &opened{files: map[string]*zip.File{}, seen: map[string]bool{}, left: maxArchived, rigs: &form.Rigs{}}
	for _, f := range z.File {
		if a.files[f.Name] != nil {
			return nil, bad("the archive has two files %q", f.Name)
		}
		a.files[f.Name] = f
	}
	if a.spool, err = newSpool(dir); err != nil {
		return nil, err
	}
	if err := a.readLists(); err != nil {
		a.close()
		return nil, err
	}
	return a, nil
}

func (a *opened) close() { a.spool.close() }

// readLists reads studio.json and, from version 2 on, the items' own lists.
func (a *opened) readLists() error {
	var head archive
	if err := a.readJSON(archiveList, func(dec *decoder) error {
		return dec.object(func(key string) error {
			switch key {
			case "format":
				return dec.value(&head.Format)
			case "version":
				return dec.value(&head.Version)
			case "form":
				return dec.value(&head.Form)
			case "lists":
				return dec.array(func() error {
					var name string
					if len(head.Lists) >= maxItems {
						return bad("the archive holds more than %d items, the most that are taken", maxItems)
					}
					err := dec.value(&name)
					head.Lists = append(head.Lists, name)
					return err
				})
			case "items":
				return dec.array(func() error { return a.readItem(dec) })
			}
			return dec.skip()
		})
	}); err != nil {
		return err
	}
	switch a.form = max(head.Form, 1); {
	case head.Format != archiveFormat:
		return bad("the archive is no studio: its format is %q", head.Format)
	case head.Version < 1 || head.Version > archiveVersion:
		return bad("the archive has version %d, and %d is the newest known here", head.Version, archiveVersion)
	case a.form > form.Now:
		return bad("the archive was written by a newer lapwright (it keeps things in form %d, and %d is the newest known here)", a.form, form.Now)
	case head.Version == 1 && len(head.Lists) > 0 || head.Version > 1 && len(a.items) > 0:
		return bad("%s has the lists of another version", archiveList)
	}
	for _, name := range head.Lists {
		if err := a.readJSON(name, a.readItem); err != nil {
			return err
		}
	}
	return a.noteRigs()
}

// noteRigs learns the letters of the archive's rigs, when a change of form
// needs them.
func (a *opened) noteRigs() error {
	if a.form == form.Now {
		return nil
	}
	left := a.left
	defer func() { a.left = left }() // they are read again to be kept
	for i := range a.items {
		if a.items[i].Kind != Rig {
			continue
		}
		for _, r := range a.items[i].Revisions {
			body, err := a.unpack(r.File, MaxBody)
			if err != nil {
				return err
			}
			a.rigs.Note(a.items[i].ID, r.Saved, string(body))
		}
	}
	return nil
}

// readJSON reads one list of the archive.
func (a *opened) readJSON(name string, read func(*decoder) error) error {
	f, ok := a.files[name]
	if !ok {
		return bad("the archive has no file %q", name)
	}
	in, err := f.Open()
	if err != nil {
		return bad("%s in the archive can't be read: %s", name, broken(err))
	}
	defer in.Close()
	dec := newDecoder(in, &a.left)
	err = read(dec)
	if err == nil {
		err = dec.end()
	}
	var ours *BadArchive
	var machine *os.PathError
	if err == nil || errors.As(err, &ours) || errors.As(err, &machine) {
		return err
	}
	return bad("%s in the archive can't be read: %s", name, broken(err))
}

// readItem reads an item's list and keeps it when it is in order.
func (a *opened) readItem(dec *decoder) error {
	var it archivedItem
	err := dec.object(func(key string) error {
		switch key {
		case "id":
			return dec.value(&it.ID)
		case "kind":
			return dec.value(&it.Kind)
		case "created":
			return dec.value(&it.Created)
		case "trashed":
			return dec.value(&it.Trashed)
		case "demo":
			return dec.value(&it.Demo)
		case "current":
			return dec.value(&it.Current)
		case "revisions":
			return dec.array(func() error {
				var r archivedRevision
				if a.count++; a.count > maxRevisions {
					return bad("the archive holds more than %d revisions, the most that are taken", maxRevisions)
				}
				if err := dec.value(&r); err != nil {
					return err
				}
				if len(r.Extra) > 0 && string(r.Extra) != "{}" {
					// Version 1 wrote the settings indented, as they never were.
					var tidy bytes.Buffer
					err := json.Compact(&tidy, r.Extra)
					if err == nil {
						r.spooled, err = a.spool.put(tidy.Bytes())
					}
					if err != nil {
						return err
					}
				}
				r.Extra = nil
				it.Revisions = append(it.Revisions, r)
				return nil
			})
		}
		return dec.skip()
	})
	if err != nil {
		return err
	}
	if err := a.check(&it); err != nil {
		return bad("item %q of the archive: %v", it.ID, err)
	}
	if len(a.items) >= maxItems {
		return bad("the archive holds more than %d items, the most that are taken", maxItems)
	}
	a.items = append(a.items, it)
	return nil
}

// check looks an item's list over, and whether its files are there and of a
// size that is taken.
func (a *opened) check(it *archivedItem) error {
	switch {
	case len(it.ID) != 16 || strings.Trim(it.ID, "0123456789abcdef") != "":
		return errors.New("its identity is not 16 hex digits")
	case a.seen[it.ID]:
		return errors.New("it comes twice")
	case !slices.Contains(Kinds, it.Kind):
		return fmt.Errorf("its kind %q is not known here", it.Kind)
	case len(it.Revisions) == 0:
		return errors.New("it has no revisions")
	}
	a.seen[it.ID] = true
	before := 0
	find := func(number int) bool {
		_, found := slices.BinarySearchFunc(it.Revisions, number, func(r archivedRevision, n int) int { return r.Number - n })
		return found
	}
	for _, r := range it.Revisions {
		if r.Number <= before {
			return fmt.Errorf("its revision %d is out of order", r.Number)
		}
		before = r.Number
	}
	for _, r := range it.Revisions {
		if r.Parent != 0 && (r.Parent >= r.Number || !find(r.Parent)) {
			return fmt.Errorf("its revision %d is out of order", r.Number)
		}
		if len(r.Why) > maxWhy {
			return fmt.Errorf("revision %d: what was done is %d bytes long, and %d are the most", r.Number, len(r.Why), maxWhy)
		}
		if err := a.mayUnpack(r.File, MaxBody); err != nil {
			return fmt.Errorf("revision %d: %w", r.Number, err)
		}
		if r.Settings != "" {
			if err := a.mayUnpack(r.Settings, MaxExtra+1); err != nil {
				return fmt.Errorf("revision %d: %w", r.Number, err)
			}
		}
	}
	if !find(it.Current) {
		return fmt.Errorf("its current revision %d is missing", it.Current)
	}
	return nil
}

// mayUnpack refuses a file by the size that the archive states for it.
func (a *opened) mayUnpack(name string, most uint64) error {
	f, ok := a.files[name]
	if !ok {
		return fmt.Errorf("the archive has no file %q", name)
	}
	if f.UncompressedSize64 > most {
		return fmt.Errorf("the file %q unpacks to more than %d bytes", name, most)
	}
	return nil
}

// unpack reads one file of the archive, within a limit of its own and what is
// left for the whole: a small file that would swell is stopped, whatever sizes
// the archive states.
func (a *opened) unpack(name string, most int64) ([]byte, error) {
	if err := a.mayUnpack(name, uint64(most)); err != nil {
		return nil, err
	}
	r, err := a.files[name].Open()
	if err != nil {
		return nil, fmt.Errorf("the file %q can't be unpacked: %s", name, broken(err))
	}
	defer r.Close()
	most = min(most, a.left)
	b, err := io.ReadAll(io.LimitReader(r, most+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the file %q can't be unpacked: %s", name, broken(err))
	case int64(len(b)) > most:
		return nil, fmt.Errorf("the file %q unpacks to more than %d bytes", name, most)
	}
	a.left -= int64(len(b))
	return b, nil
}

// content reads one revision, in today's form.
func (a *opened) content(it *archivedItem, r *archivedRevision) (Content, error) {
	wrong := func(err error) (Content, error) {
		return Content{}, bad("item %q of the archive: revision %d: %v", it.ID, r.Number, err)
	}
	body, err := a.unpack(r.File, MaxBody)
	if err != nil {
		return wrong(err)
	}
	c := Content{Title: r.Title, Body: string(body)}
	switch {
	case r.Settings != "":
		c.Extra, err = a.unpack(r.Settings, MaxExtra+1)
		c.Extra = json.RawMessage(strings.TrimSpace(string(c.Extra)))
	case r.spooled.length > 0:
		c.Extra, err = a.spool.get(r.spooled)
	}
	if err == nil {
		err = c.check()
	}
	if err != nil {
		return wrong(err)
	}
	if r.Sum != "" && r.Sum != digestText(r.Title, c.Body, c.Extra) {
		return wrong(errors.New("it is not what was exported: its sum differs"))
	}
	f := form.Revision{Kind: string(it.Kind), Saved: r.Saved, Body: c.Body, Extra: c.Extra}
	form.Upcast(a.form, &f, a.rigs)
	c.Body, c.Extra = f.Body, f.Extra
	return c, nil
}

// decoder reads JSON value by value, so that a list of any length is read in
// little memory.
type decoder struct {
	*json.Decoder
	in *allowed
}

// maxValue bounds one value of a list, in bytes: a revision with its settings.
const maxValue = MaxExtra + 64<<10

// allowed reads until an allowance is used up.
type allowed struct {
	r     io.Reader
	value int64  // for the value being read
	whole *int64 // for the archive
}

func (l *allowed) Read(b []byte) (int, error) {
	n, err := l.r.Read(b)
	l.value -= int64(n)
	*l.whole -= int64(n)
	if l.value < 0 || *l.whole < 0 {
		return 0, bad("a list in the archive is larger than what is taken")
	}
	return n, err
}

func newDecoder(r io.Reader, left *int64) *decoder {
	in := &allowed{r: r, whole: left}
	d := &decoder{json.NewDecoder(bufio.NewReader(in)), in}
	d.allow()
	return d
}

func (d *decoder) allow() { d.in.value = maxValue }

func (d *decoder) value(to any) error {
	d.allow()
	return d.Decode(to)
}

func (d *decoder) skip() error {
	var any json.RawMessage
	return d.value(&any)
}

func (d *decoder) open(want json.Delim, called string) error {
	t, err := d.Token()
	if err == nil && t != want {
		err = fmt.Errorf("“%v” stands where %s should", t, called)
	}
	return err
}

// object reads an object; member reads the value of each key.
func (d *decoder) object(member func(key string) error) error {
	if err := d.open('{', "an object"); err != nil {
		return err
	}
	for d.More() {
		d.allow()
		key, err := d.Token()
		if err != nil {
			return err
		}
		if err := member(key.(string)); err != nil {
			return err
		}
	}
	_, err := d.Token()
	return err
}

// array reads an array; element reads each of its values.
func (d *decoder) array(element func() error) error {
	if err := d.open('[', "a list"); err != nil {
		return err
	}
	for d.More() {
		d.allow()
		if err := element(); err != nil {
			return err
		}
	}
	_, err := d.Token()
	return err
}

// end reports whether nothing follows.
func (d *decoder) end() error {
	_, err := d.Token()
	var syntax *json.SyntaxError
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case err == nil, errors.As(err, &syntax):
		return errors.New("more follows its end")
	}
	return err
}

// spool is a file in which pieces of text wait.
type spool struct {
	f  *os.File
	at int64
}

type span struct{ at, length int64 }

// spoolName begins the name of a spool; one that a killed process left is
// removed by the next import.
const spoolName = "import-"

func newSpool(dir string) (*spool, error) {
	f, err := os.CreateTemp(dir, spoolName+"*.part") // for its owner only
	if err != nil {
		return nil, err
	}
	return &spool{f: f}, nil
}

func (s *spool) put(b []byte) (span, error) {
	n, err := s.f.WriteAt(b, s.at)
	at := span{s.at, int64(n)}
	s.at += int64(n)
	return at, err
}

func (s *spool) get(at span) ([]byte, error) {
	b := make([]byte, at.length)
	_, err := s.f.ReadAt(b, at.at)
	return b, err
}

func (s *spool) close() {
	s.f.Close()
	os.Remove(s.f.Name())
}

// millis returns a time as the database keeps it, nil for none.
func millis(t *time.Time) any {
	if t == nil {
		return nil
	}
	return t.UnixMilli()
}
