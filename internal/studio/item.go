package studio

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// Kind is what an item is.
type Kind string

// The kinds of item.
const (
	Rig    Kind = "rig"
	Grip   Kind = "grip"
	Tune   Kind = "tune"
	Lesson Kind = "lesson"
	Take   Kind = "take"
)

// Kinds lists the kinds in the order in which pages show them.
var Kinds = []Kind{Rig, Grip, Tune, Lesson, Take}

// The bounds on what a revision holds, in bytes.
const (
	MaxBody  = 4 << 20
	MaxExtra = 8 << 20
	MaxTitle = 300
	maxWhy   = 1000
)

// Content is what one revision holds.
type Content struct {
	Title string
	Body  string          // TOML, ABC or JSON, by kind
	Extra json.RawMessage // a JSON object of settings; empty is {}
}

// Item is a thing in the studio, at one of its revisions.
type Item struct {
	ID       string // 16 hex digits
	Kind     Kind
	Created  time.Time
	Trashed  time.Time // zero while it is not in the trash
	Demo     bool      // came with the program
	Revision int       // counts from 1
	Parent   int       // the revision this one was made from, 0 for the first
	Saved    time.Time
	Why      string // what was done: "written", "restored from 3"
	CanRedo  bool   // a later revision was made from this one; told by Get only
	Content
}

// ErrNone is the error for an item or revision that is not there.
var ErrNone = errors.New("there is no such item")

// Conflict is the refusal of a save that was made from a revision which is no
// longer the current one.
type Conflict struct {
	ID            string
	Base, Current int
}

// Error says what happened in plain words.
func (c *Conflict) Error() string {
	return fmt.Sprintf("it was changed elsewhere: this was made from revision %d, and revision %d is there now", c.Base, c.Current)
}

// check refuses content that could not be read back.
func (c *Content) check() error {
	c.Title = strings.TrimSpace(c.Title)
	switch {
	case c.Title == "":
		return errors.New("a title is needed")
	case len(c.Title) > MaxTitle:
		return fmt.Errorf("the title is %d bytes long, and %d are the most", len(c.Title), MaxTitle)
	case len(c.Body) > MaxBody:
		return fmt.Errorf("it is %d bytes long, and %d are the most", len(c.Body), MaxBody)
	case len(c.Extra) > MaxExtra:
		return fmt.Errorf("its settings are %d bytes long, and %d are the most", len(c.Extra), MaxExtra)
	case !utf8.ValidString(c.Title) || !utf8.ValidString(c.Body):
		return errors.New("it is not valid UTF-8 text")
	case strings.ContainsRune(c.Title, 0) || strings.ContainsRune(c.Body, 0):
		return errors.New("it holds a zero byte")
	}
	if len(c.Extra) == 0 {
		c.Extra = json.RawMessage("{}")
	}
	var object map[string]json.RawMessage
	if err := json.Unmarshal(c.Extra, &object); err != nil || object == nil {
		return errors.New("its settings are no JSON object")
	}
	return nil
}

// newID chooses an identity at random.
func newID() string {
	var b [8]byte
	rand.Read(b[:])
	return hex.EncodeToString(b[:])
}

// Add makes a new item at revision 1.
func (s *Studio) Add(ctx context.Context, kind Kind, c Content, demo bool) (*Item, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	id, now := newID(), s.now().UnixMilli()
	err := s.transact(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, query("add item"), id, kind, now, demo, 1); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, query("add revision"), id, 1, nil, now, "written", c.Title, c.Body, string(c.Extra))
		return err
	})
	if err != nil {
		return nil, s.plain("save", err)
	}
	return s.Get(ctx, id)
}

// Save adds a revision made from revision base and shows it. It is refused with
// a Conflict when base is not the current revision any more.
func (s *Studio) Save(ctx context.Context, id string, base int, c Content, why string) (*Item, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	if len(why) > maxWhy {
		return nil, fmt.Errorf("what was done is %d bytes long, and %d are the most", len(why), maxWhy)
	}
	err := s.transact(ctx, func(tx *sql.Tx) error {
		var newest sql.NullInt64
		if err := tx.QueryRowContext(ctx, query("newest number"), id).Scan(&newest); err != nil {
			return err
		}
		if !newest.Valid {
			return ErrNone
		}
		next := int(newest.Int64) + 1
		_, err := tx.ExecContext(ctx, query("add revision"), id, next, base, s.now().UnixMilli(), why, c.Title, c.Body, string(c.Extra))
		if err != nil {
			return err
		}
		return moveTo(ctx, tx, id, base, next)
	})
	if err != nil {
		return nil, s.plain("save", err)
	}
	return s.Get(ctx, id)
}

// moveTo shows revision to instead of revision from.
func moveTo(ctx context.Context, tx *sql.Tx, id string, from, to int) error {
	res, err := tx.ExecContext(ctx, query("move to revision"), to, id, from)
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 1 {
		return err
	}
	it, err := scan(tx.QueryRowContext(ctx, query("get"), id))
	switch {
	case err != nil:
		return err
	case !it.Trashed.IsZero():
		return errors.New("it is in the trash; take it out first")
	}
	return &Conflict{ID: id, Base: from, Current: it.Revision}
}

// Get returns an item at its current revision.
func (s *Studio) Get(ctx context.Context, id string) (*Item, error) {
	it, err := scan(s.db.QueryRowContext(ctx, query("get"), id))
	return it, s.plain("read", err)
}

// GetRevision returns an item as it was at a revision.
func (s *Studio) GetRevision(ctx context.Context, id string, number int) (*Item, error) {
	it, err := scan(s.db.QueryRowContext(ctx, query("get revision"), id, number))
	return it, s.plain("read", err)
}

// Restore saves the content of an old revision as a new one.
func (s *Studio) Restore(ctx context.Context, id string, base, number int) (*Item, error) {
	old, err := s.GetRevision(ctx, id, number)
	if err != nil {
		return nil, err
	}
	return s.Save(ctx, id, base, old.Content, fmt.Sprintf("restored from %d", number))
}

// Undo shows the revision that the current one was made from.
func (s *Studio) Undo(ctx context.Context, id string, base int) (*Item, error) {
	it, err := s.GetRevision(ctx, id, base)
	if err != nil {
		return nil, err
	}
	if it.Parent == 0 {
		return nil, errors.New("this is the first revision; there is nothing to undo")
	}
	if err := s.show(ctx, id, base, it.Parent); err != nil {
		return nil, err
	}
	return s.Get(ctx, id)
}

// Redo shows the newest revision that was made from the current one.
func (s *Studio) Redo(ctx context.Context, id string, base int) (*Item, error) {
	var next sql.NullInt64
	if err := s.db.QueryRowContext(ctx, query("newest child"), id, base).Scan(&next); err != nil {
		return nil, s.plain("read", err)
	}
	if !next.Valid {
		return nil, errors.New("this is the newest revision; there is nothing to redo")
	}
	if err := s.show(ctx, id, base, int(next.Int64)); err != nil {
		return nil, err
	}
	return s.Get(ctx, id)
}

// show makes another of its revisions an item's current one.
func (s *store) show(ctx context.Context, id string, from, to int) error {
	return s.plain("save", s.transact(ctx, func(tx *sql.Tx) error { return moveTo(ctx, tx, id, from, to) }))
}

// Discard puts an item in the trash.
func (s *Studio) Discard(ctx context.Context, id string) error {
	return s.one(ctx, "discard", s.now().UnixMilli(), id)
}

// Recover takes an item out of the trash.
func (s *Studio) Recover(ctx context.Context, id string) error { return s.one(ctx, "recover", id) }

// Forget removes an item in the trash, with all its revisions, for good, and the
// sound of a take with it.
func (s *Studio) Forget(ctx context.Context, id string) error {
	sums, err := s.Sounds.of(ctx, id)
	if err != nil {
		return s.plain("read", err)
	}
	if err := s.one(ctx, "forget", id); err != nil {
		return err
	}
	for _, sum := range sums {
		if err := s.Sounds.dropIfUnused(ctx, sum); err != nil {
			return s.plain("clear the take", err)
		}
	}
	return nil
}

// DiscardDemo puts everything that came with the program in the trash.
func (s *Studio) DiscardDemo(ctx context.Context) (int, error) {
	n, err := s.change(ctx, "discard demo", s.now().UnixMilli())
	return n, s.plain("save", err)
}

// Settings are a studio's settings, by name.
type Settings struct{ *store }

// Get returns a setting's value, "" when it was never put.
func (s *Settings) Get(ctx context.Context, name string) (string, error) {
	var v string
	err := s.db.QueryRowContext(ctx, query("get setting"), name).Scan(&v)
	if errors.Is(err, sql.ErrNoRows) {
		return "", nil
	}
	return v, s.plain("read", err)
}

// Put keeps a setting.
func (s *Settings) Put(ctx context.Context, name, value string) error {
	_, err := s.change(ctx, "put setting", name, value)
	return s.plain("save", err)
}

// one runs a statement that must change exactly one row.
func (s *store) one(ctx context.Context, name string, args ...any) error {
	n, err := s.change(ctx, name, args...)
	if err == nil && n != 1 {
		err = ErrNone
	}
	return s.plain("save", err)
}

// change runs one statement and tells how many rows it changed.
func (s *store) change(ctx context.Context, name string, args ...any) (int, error) {
	var n int64
	err := s.transact(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, query(name), args...)
		if err == nil {
			n, err = res.RowsAffected()
		}
		return err
	})
	return int(n), err
}

func scan(row interface{ Scan(...any) error }) (*Item, error) {
	var it Item
	var created, saved int64
	var trashed, parent sql.NullInt64
	var extra string
	err := row.Scan(&it.ID, &it.Kind, &created, &trashed, &it.Demo, &it.Revision, &parent, &saved, &it.Why, &it.Title, &it.Body, &extra, &it.CanRedo)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, err
	}
	it.Created, it.Saved = time.UnixMilli(created).UTC(), time.UnixMilli(saved).UTC()
	if trashed.Valid {
		it.Trashed = time.UnixMilli(trashed.Int64).UTC()
	}
	it.Parent = int(parent.Int64)
	it.Extra = json.RawMessage(extra)
	return &it, nil
}
