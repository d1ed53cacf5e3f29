package studio

import (
	"context"
	"database/sql"
	"time"
)

// Heading is an item as a list shows it, at one of its revisions: without what
// it holds, which may be large and is not read for it.
type Heading struct {
	ID       string
	Kind     Kind
	Trashed  time.Time // zero while it is not in the trash
	Demo     bool      // came with the program
	Revision int
	Saved    time.Time
	Why      string // what was done
	Title    string
	Size     int // of the body, in bytes
}

// List returns the items of a kind that are not in the trash, newest save first.
func (s *Studio) List(ctx context.Context, kind Kind) ([]*Heading, error) {
	return s.headings(ctx, "list", kind)
}

// Recent returns the n items saved last, whatever their kind.
func (s *Studio) Recent(ctx context.Context, n int) ([]*Heading, error) {
	return s.headings(ctx, "recent", n)
}

// Trash returns what is in the trash, newest first.
func (s *Studio) Trash(ctx context.Context) ([]*Heading, error) { return s.headings(ctx, "trash") }

// Revisions returns all revisions of an item, newest first.
func (s *Studio) Revisions(ctx context.Context, id string) ([]*Heading, error) {
	list, err := s.headings(ctx, "revision headings", id)
	if err == nil && len(list) == 0 {
		err = ErrNone
	}
	return list, err
}

func (s *store) headings(ctx context.Context, name string, args ...any) ([]*Heading, error) {
	rows, err := s.db.QueryContext(ctx, query(name), args...)
	if err != nil {
		return nil, s.plain("read", err)
	}
	defer rows.Close()
	var out []*Heading
	for rows.Next() {
		var h Heading
		var saved int64
		var trashed sql.NullInt64
		if err := rows.Scan(&h.ID, &h.Kind, &trashed, &h.Demo, &h.Revision, &saved, &h.Why, &h.Title, &h.Size); err != nil {
			return nil, s.plain("read", err)
		}
		h.Saved = time.UnixMilli(saved).UTC()
		if trashed.Valid {
			h.Trashed = time.UnixMilli(trashed.Int64).UTC()
		}
		out = append(out, &h)
	}
	return out, s.plain("read", rows.Err())
}
