package studio

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// KeptCopies is how many nightly copies are kept.
const KeptCopies = 14

// copyPrefix begins the name of every copy; the day follows.
const copyPrefix = "studio-"

// CopyDaily writes a copy of the database into the folder copies, named by the
// day, unless today's is there already, and removes all but the newest
// KeptCopies. It gives the copy's path, "" when there was nothing to do.
func (s *Studio) CopyDaily(ctx context.Context) (string, error) {
	dir := filepath.Join(s.dir, "copies")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("the folder for copies can't be made: %w", cause(err))
	}
	path := filepath.Join(dir, copyPrefix+s.now().Format(time.DateOnly)+".db")
	if _, err := os.Stat(path); err == nil {
		return "", nil
	}
	// Built beside and renamed, so that a copy is whole or not there.
	part := path + ".part"
	if err := os.Remove(part); err != nil && !errors.Is(err, os.ErrNotExist) {
		return "", err
	}
	if _, err := s.db.ExecContext(ctx, "VACUUM INTO ?", part); err != nil {
		os.Remove(part)
		return "", s.plain("copy the studio", err)
	}
	if err := os.Rename(part, path); err != nil {
		return "", err
	}
	return path, pruneCopies(dir)
}

func pruneCopies(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var names []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), copyPrefix) && strings.HasSuffix(e.Name(), ".db") {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	for len(names) > KeptCopies {
		if err := os.Remove(filepath.Join(dir, names[0])); err != nil {
			return err
		}
		names = names[1:]
	}
	return nil
}
