package studio

import (
	"context"
	"database/sql"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"lapwright/internal/studio/form"
	"lapwright/internal/whole"
)

//go:embed sql/migrations/*.sql
var migrations embed.FS

// formSetting is the setting that says in which form the items are kept. A
// database without it is in form 1.
const formSetting = "form"

// migration brings a database up to date.
type migration struct{ *store }

// apply runs the steps that the database lacks, each in one transaction,
// then brings what it keeps into today's form.
func (s *migration) apply(ctx context.Context, begin bool) error {
	steps, err := fs.Glob(migrations, "sql/migrations/*.sql")
	if err != nil || len(steps) == 0 {
		return fmt.Errorf("no migrations are built in: %v", err)
	}
	var have int
	if err := s.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err != nil {
		return err
	}
	switch {
	case have > len(steps):
		return fmt.Errorf("it was written by a newer lapwright (its version is %d, and %d is the newest known here)", have, len(steps))
	case have == 0:
		// There is a file, but nothing was ever kept in it.
		if err := lost(s.dir, begin); err != nil {
			return err
		}
	case have < len(steps):
		if err := s.copyBefore(ctx, len(steps)); err != nil {
			return err
		}
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
	return s.upcast(ctx)
}

// copyBefore keeps a copy of the database as it is before it is brought up to
// the version given. Such a copy is never removed.
func (s *migration) copyBefore(ctx context.Context, version int) error {
	path := filepath.Join(s.dir, copiesFolder, fmt.Sprintf("before-version-%d.db", version))
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	return s.copyTo(ctx, path)
}

// upcast brings every revision into today's form, all in one transaction. It
// changes neither number nor time nor order.
func (s *migration) upcast(ctx context.Context) error {
	if kept, err := s.form(ctx, s.db); err != nil || kept == form.Now {
		return err
	}
	return s.transact(ctx, func(tx *sql.Tx) error {
		kept, err := s.form(ctx, tx)
		if err != nil {
			return err
		}
		if kept > form.Now {
			return fmt.Errorf("it was written by a newer lapwright (it keeps things in form %d, and %d is the newest known here)", kept, form.Now)
		}
		rigs, err := keptRigs(ctx, tx)
		if err != nil {
			return err
		}
		for at := (standing{}); ; {
			next, done, err := rewriteSome(ctx, tx, at, kept, rigs)
			if err != nil {
				return err
			}
			if done {
				break
			}
			at = next
		}
		_, err = tx.ExecContext(ctx, query("put setting"), formSetting, strconv.Itoa(form.Now))
		return err
	})
}

// form returns the form in which the items are kept.
func (s *migration) form(ctx context.Context, from interface {
	QueryRowContext(context.Context, string, ...any) *sql.Row
}) (int, error) {
	var text string
	err := from.QueryRowContext(ctx, query("get setting"), formSetting).Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return 1, nil
	}
	if err != nil {
		return 0, err
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return 0, fmt.Errorf("the form %q in which it keeps things is no number", text)
	}
	return n, nil
}

func keptRigs(ctx context.Context, tx *sql.Tx) (*form.Rigs, error) {
	rows, err := tx.QueryContext(ctx, query("rig texts"))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	rigs := &form.Rigs{}
	for rows.Next() {
		var id, body string
		var saved int64
		if err := rows.Scan(&id, &saved, &body); err != nil {
			return nil, err
		}
		rigs.Note(id, time.UnixMilli(saved), body)
	}
	return rigs, rows.Err()
}

// standing is where a revision stands among all.
type standing struct {
	item   string
	number int
}

// rewriteSome brings the revisions that follow a place into today's form, a
// bounded number of them, and says how far it came.
func rewriteSome(ctx context.Context, tx *sql.Tx, at standing, from int, rigs *form.Rigs) (next standing, done bool, err error) {
	type changed struct {
		standing
		body, extra string
	}
	var list []changed
	rows, err := tx.QueryContext(ctx, query("next revisions"), at.item, at.number)
	if err != nil {
		return at, false, err
	}
	defer rows.Close()
	next = at
	for rows.Next() {
		var r form.Revision
		var saved int64
		var extra string
		if err := rows.Scan(&next.item, &next.number, &r.Kind, &saved, &r.Body, &extra); err != nil {
			return at, false, err
		}
		if !form.Touches(r.Kind) {
			continue
		}
		body := r.Body
		r.Saved, r.Extra = time.UnixMilli(saved), json.RawMessage(extra)
		form.Upcast(from, &r, rigs)
		if r.Body != body || string(r.Extra) != extra {
			list = append(list, changed{next, r.Body, string(r.Extra)})
		}
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return at, false, err
	}
	for _, c := range list {
		if _, err := tx.ExecContext(ctx, query("rewrite revision"), c.body, c.extra, c.item, c.number); err != nil {
			return at, false, err
		}
	}
	return next, next == at, nil
}

// copyTo writes a copy of the database, built beside its place and renamed, so
// that a copy is whole or not there. Only its owner may read it.
func (s *store) copyTo(ctx context.Context, path string) error {
	if err := whole.MakeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	f, err := whole.NewFile(path, whole.Private)
	if err != nil {
		return err
	}
	defer f.Abandon()
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", f.Building()); err != nil {
		return s.plain("copy the studio", err)
	}
	return f.Keep()
}
