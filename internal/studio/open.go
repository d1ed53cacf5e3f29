package studio

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the database driver

	"lapwright/internal/whole"
)

//go:embed sql/queries.sql
var queryText string

var queries = parseQueries(queryText)

// parseQueries splits a file of statements at its "-- name:" lines.
func parseQueries(text string) map[string]string {
	out := map[string]string{}
	for _, part := range strings.Split(text, "-- name: ")[1:] {
		name, body, _ := strings.Cut(part, "\n")
		out[strings.TrimSpace(name)] = body
	}
	return out
}

// query returns a statement by its name; a name that isn't there is our mistake.
func query(name string) string {
	q, ok := queries[name]
	if !ok {
		panic("no query is named " + name)
	}
	return q
}

// FileName is the database's name inside its folder.
const FileName = "studio.db"

// driverName is the database's driver; a test puts one that counts in its place.
var driverName = "sqlite"

// Studio is an open database. It is safe for use by many goroutines.
type Studio struct {
	*store
	// Sounds is the sound of its takes.
	Sounds   *Sounds
	Settings *Settings
}

// store is the opened file, and how it is read, written and copied.
type store struct {
	db  *sql.DB
	dir string
	now func() time.Time
	// place is the file that was opened; a save counts only while it is there.
	place interface{ Still() bool }
	// turn is held by who writes. The database lets one write at a time anyway;
	// here they come in order, so that a long import lets others in between.
	turn chan struct{}
}

// Open opens the studio in a folder, making both when there is nothing there,
// and brings an older one up to date. Where a studio has been and its file is
// gone it gives a NoStudio. now is the clock.
func Open(ctx context.Context, dir string, now func() time.Time) (*Studio, error) {
	return openFolder(ctx, dir, now, true)
}

// OpenKept opens the studio in a folder, as Open does, and gives a NoStudio
// when there is none: for who reads what is kept, and must not begin anew
// because a name was mistyped.
func OpenKept(ctx context.Context, dir string, now func() time.Time) (*Studio, error) {
	return openFolder(ctx, dir, now, false)
}

func openFolder(ctx context.Context, dir string, now func() time.Time, begin bool) (*Studio, error) {
	path, err := filepath.Abs(filepath.Join(dir, FileName))
	if err != nil {
		return nil, err
	}
	if err := look(dir, begin); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder %q can't be made: %w", dir, cause(err))
	}
	if err := ownersOnly(path); err != nil {
		return nil, err
	}
	s := &store{dir: dir, now: now, turn: make(chan struct{}, 1)}
	if s.place, err = whole.Hold(path); err != nil {
		return nil, err
	}
	// A full synchronous write makes an acknowledged save outlive a power cut,
	// not only the end of the process.
	if s.db, err = sql.Open(driverName, address(path, "_pragma=busy_timeout(5000)", "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)",
		"_pragma=foreign_keys(1)", "_pragma=trusted_schema(0)", "_txlock=immediate")); err != nil {
		return nil, err
	}
	s.db.SetMaxOpenConns(8)
	if err := (&migration{s}).apply(ctx, begin); err != nil {
		s.db.Close()
		return nil, s.plain("open the studio", err)
	}
	if err := (&importing{store: s}).dropOld(ctx); err != nil {
		s.db.Close()
		return nil, s.plain("open the studio", err)
	}
	return &Studio{s, &Sounds{s}, &Settings{s}}, nil
}

// address returns what the driver opens a file by.
func address(path string, options ...string) string {
	return (&url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path), RawQuery: strings.Join(options, "&")}).String()
}

// ownersOnly makes the database's file, when it is not there, and keeps it and
// what the database puts beside it from others on the machine.
func ownersOnly(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, whole.Private)
	if err == nil {
		err = f.Close()
	}
	// A file that can't be opened is left for the database to complain of.
	if err != nil && !errors.Is(err, fs.ErrPermission) {
		return fmt.Errorf("the file %q can't be opened: %w", path, cause(err))
	}
	files := []string{path, path + "-wal", path + "-shm"}
	copies, err := filepath.Glob(filepath.Join(filepath.Dir(path), copiesFolder, "*.db"))
	if err != nil {
		return err
	}
	for _, file := range append(files, copies...) {
		err := os.Chmod(file, whole.Private)
		if err != nil && !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, fs.ErrPermission) {
			return fmt.Errorf("the file %q can't be kept from others: %w", file, cause(err))
		}
	}
	return nil
}

// Close ends the studio's use of its file.
func (s *Studio) Close() error { return s.db.Close() }

// Dir is the folder the studio lives in.
func (s *Studio) Dir() string { return s.dir }

// errAway is the refusal of a save when the file that was opened is no longer
// in its place: what is written to it now is lost when the program ends.
var errAway = errors.New("the studio's file is not in its place any more")

// transact runs do in a transaction that is kept when do gives nil.
func (s *store) transact(ctx context.Context, do func(*sql.Tx) error) error {
	select {
	case s.turn <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-s.turn }()
	if !s.place.Still() {
		return errAway
	}
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	if !s.place.Still() {
		return errAway
	}
	return nil
}

// Trouble is a save or read that the machine would not do. Its text says what
// the user can do about it.
type Trouble struct {
	What string // "save", "open the studio"
	Say  string // the reason in plain words
	Err  error
}

// Error returns the plain words.
func (t *Trouble) Error() string { return "could not " + t.What + ": " + t.Say }

// Unwrap returns the driver's own error.
func (t *Trouble) Unwrap() error { return t.Err }

// plain turns the driver's errors into words; ours pass through.
func (s *store) plain(what string, err error) error {
	var conflict *Conflict
	var bad *BadArchive
	var none *NoStudio
	if err == nil || errors.Is(err, ErrNone) || errors.As(err, &conflict) || errors.As(err, &bad) || errors.As(err, &none) || errors.Is(err, context.Canceled) {
		return err
	}
	t := &Trouble{What: what, Err: err}
	if errors.Is(err, errAway) {
		t.Say = "the file " + filepath.Join(s.dir, FileName) + " was removed or replaced while lapwright was running, so nothing more is kept; copy what you have typed, stop lapwright, and put the folder back"
		return t
	}
	var code interface{ Code() int }
	text := err.Error()
	if errors.As(err, &code) {
		switch code.Code() & 0xff {
		case 13: // SQLITE_FULL
			t.Say = "the disk that holds " + s.dir + " is full; make room and try again"
		case 8: // SQLITE_READONLY
			t.Say = "the folder " + s.dir + " can't be written to; allow it or choose another with --data"
		case 14: // SQLITE_CANTOPEN
			t.Say = "the file in " + s.dir + " can't be opened; see whether the folder may be written to"
		case 10: // SQLITE_IOERR
			t.Say = "the disk that holds " + s.dir + " gave an error; check it, and copy the folder elsewhere"
		case 11, 26: // SQLITE_CORRUPT, SQLITE_NOTADB
			t.Say = "the file " + filepath.Join(s.dir, FileName) + " is damaged or no studio; put one from the folder copies back with lapwright restore"
		case 5, 6: // SQLITE_BUSY, SQLITE_LOCKED
			t.Say = "another program is holding the studio; try again in a moment"
		}
	}
	if t.Say == "" {
		t.Say = text
	}
	return t
}

// cause drops the path that an error repeats.
func cause(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
