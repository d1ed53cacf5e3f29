package studio

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the database driver
)

//go:embed sql/migrations/*.sql
var migrations embed.FS

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

// query gives a statement by its name; a name that isn't there is our mistake.
func query(name string) string {
	q, ok := queries[name]
	if !ok {
		panic("no query is named " + name)
	}
	return q
}

// FileName is the database's name inside its folder.
const FileName = "studio.db"

// Studio is an open database. It is safe for use by many goroutines.
type Studio struct {
	db  *sql.DB
	dir string
	now func() time.Time
}

// Open opens the studio in a folder, making both when they are not there, and
// brings an older database up to date. now is the clock.
func Open(ctx context.Context, dir string, now func() time.Time) (*Studio, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("the data folder %q can't be made: %w", dir, cause(err))
	}
	path, err := filepath.Abs(filepath.Join(dir, FileName))
	if err != nil {
		return nil, err
	}
	// A full synchronous write makes an acknowledged save outlive a power cut,
	// not only the end of the process.
	dsn := (&url.URL{Scheme: "file", OmitHost: true, Path: filepath.ToSlash(path), RawQuery: strings.Join([]string{
		"_pragma=busy_timeout(5000)", "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)",
		"_pragma=foreign_keys(1)", "_pragma=trusted_schema(0)", "_txlock=immediate",
	}, "&")}).String()
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(8)
	s := &Studio{db: db, dir: dir, now: now}
	if err := s.migrate(ctx); err != nil {
		db.Close()
		return nil, s.plain("open the studio", err)
	}
	return s, nil
}

// Close ends the studio's use of its file.
func (s *Studio) Close() error { return s.db.Close() }

// Dir is the folder the studio lives in.
func (s *Studio) Dir() string { return s.dir }

// migrate applies the steps that the database lacks, each in one transaction.
func (s *Studio) migrate(ctx context.Context) error {
	steps, err := fs.Glob(migrations, "sql/migrations/*.sql")
	if err != nil || len(steps) == 0 {
		return fmt.Errorf("no migrations are built in: %v", err)
	}
	var have int
	if err := s.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err != nil {
		return err
	}
	if have > len(steps) {
		return fmt.Errorf("it was written by a newer lapwright (its version is %d, and %d is the newest known here)", have, len(steps))
	}
	for i, step := range steps {
		number, err := strconv.Atoi(strings.SplitN(filepath.Base(step), "_", 2)[0])
		if err != nil || number != i+1 {
			return fmt.Errorf("migration %q is out of order", step)
		}
		if number <= have {
			continue
		}
		text, err := migrations.ReadFile(step)
		if err != nil {
			return err
		}
		err = s.transact(ctx, func(tx *sql.Tx) error {
			// Two processes may open a new studio at once: look again inside.
			var now int
			if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil || now >= number {
				return err
			}
			if _, err := tx.ExecContext(ctx, string(text)); err != nil {
				return err
			}
			_, err := tx.ExecContext(ctx, "PRAGMA user_version = "+strconv.Itoa(number))
			return err
		})
		if err != nil {
			return fmt.Errorf("step %d: %w", number, err)
		}
	}
	return nil
}

// transact runs do in a transaction that is kept when do gives nil.
func (s *Studio) transact(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// Trouble is a save or read that the machine would not do. Its text says what
// the user can do about it.
type Trouble struct {
	What string // "save", "open the studio"
	Say  string // the reason in plain words
	Err  error
}

// Error gives the plain words.
func (t *Trouble) Error() string { return "could not " + t.What + ": " + t.Say }

// Unwrap gives the driver's own error.
func (t *Trouble) Unwrap() error { return t.Err }

// plain turns the driver's errors into words; ours pass through.
func (s *Studio) plain(what string, err error) error {
	var conflict *Conflict
	if err == nil || errors.Is(err, ErrNone) || errors.As(err, &conflict) || errors.Is(err, context.Canceled) {
		return err
	}
	t := &Trouble{What: what, Err: err}
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
			t.Say = "the file " + filepath.Join(s.dir, FileName) + " is damaged or no studio; put a copy from the folder copies in its place"
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
