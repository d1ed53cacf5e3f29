package studio

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lapwright/internal/whole"
)

// KeptCopies is how many nightly copies are kept.
const KeptCopies = 14

const (
	copiesFolder = "copies"
	copyPrefix   = "studio-" // begins the name of every nightly copy; the day follows
)

// CopyDaily writes a copy of the database into the folder copies, named by the
// day, unless today's is there already, and removes all but the newest
// KeptCopies. It gives the copy's path, "" when there was nothing to do.
func (s *Studio) CopyDaily(ctx context.Context) (string, error) {
	if !s.place.Still() {
		return "", s.plain("copy the studio", errAway)
	}
	dir := filepath.Join(s.dir, copiesFolder)
	path := filepath.Join(dir, copyPrefix+s.now().Format(time.DateOnly)+".db")
	if _, err := os.Stat(path); err == nil {
		return "", nil
	}
	if err := s.copyTo(ctx, path); err != nil {
		return "", err
	}
	if err := s.Sounds.dropUnused(ctx); err != nil {
		return path, err
	}
	return path, pruneCopies(dir)
}

// nightly lists the nightly copies in a folder, oldest first.
func nightly(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), copyPrefix) && strings.HasSuffix(e.Name(), ".db") {
			names = append(names, e.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

func pruneCopies(dir string) error {
	names, err := nightly(dir)
	if err != nil {
		return err
	}
	for len(names) > KeptCopies {
		if err := os.Remove(filepath.Join(dir, names[0])); err != nil {
			return err
		}
		names = names[1:]
	}
	return nil
}

// NoStudio is the refusal to open a folder in which no studio is, or in which
// one was whose file is gone.
type NoStudio struct {
	Dir  string
	Why  string
	Copy string // the newest copy that can be put back; "" when there is none
}

// Error says what is missing.
func (n *NoStudio) Error() string { return fmt.Sprintf("%s in %q", n.Why, n.Dir) }

// look refuses a folder whose database is missing or empty: when a studio has
// been there, and when none may be begun.
func look(dir string, begin bool) error {
	info, err := os.Stat(filepath.Join(dir, FileName))
	if err == nil && info.Size() > 0 || err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil // whatever is wrong with it is said when it is opened
	}
	if err := lost(dir, begin); err != nil {
		return err
	}
	if journal, err := os.Stat(filepath.Join(dir, FileName+"-wal")); err == nil && journal.Size() > 0 {
		return &NoStudio{Dir: dir, Why: "the studio's file " + FileName + " is missing or empty, and its journal is there,"}
	}
	return nil
}

// lost is look for a folder whose database holds nothing.
func lost(dir string, begin bool) error {
	names, err := nightly(filepath.Join(dir, copiesFolder))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("the folder for copies can't be read: %w", cause(err))
	}
	for _, name := range slices.Backward(names) {
		path := filepath.Join(dir, copiesFolder, name)
		if goodCopy(context.Background(), path) == nil {
			return &NoStudio{Dir: dir, Why: "the studio's file " + FileName + " is missing or empty", Copy: path}
		}
	}
	if begin {
		return nil
	}
	return &NoStudio{Dir: dir, Why: "there is no studio"}
}

// goodCopy reports, as an error, why a file is no studio that can be put back.
func goodCopy(ctx context.Context, path string) error {
	db, err := sql.Open(driverName, address(path, "mode=ro", "immutable=1"))
	if err != nil {
		return err
	}
	defer db.Close()
	var version, items int
	var verdict string
	err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version)
	if err == nil && version > 0 {
		err = db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&verdict)
	}
	if err == nil && verdict == "ok" {
		err = db.QueryRowContext(ctx, "SELECT count(*) FROM item").Scan(&items)
	}
	if err == nil && (version == 0 || verdict != "ok") {
		err = errors.New("it is no studio, or damaged")
	}
	return err
}

// PutBack puts a copy of the studio in its folder. What is there now is kept
// among the copies; its name is given, "" when there was nothing. Nobody else
// may have the studio open (see Claim).
func PutBack(ctx context.Context, dir, copied string, now func() time.Time) (aside string, err error) {
	if err := goodCopy(ctx, copied); err != nil {
		return "", &NoStudio{Dir: dir, Why: fmt.Sprintf("the copy %q can't be put back (%v)", copied, err)}
	}
	if err := whole.MakeFolder(filepath.Join(dir, copiesFolder)); err != nil {
		return "", err
	}
	path := filepath.Join(dir, FileName)
	in, err := os.Open(copied)
	if err != nil {
		return "", fmt.Errorf("the copy %q can't be read: %w", copied, cause(err))
	}
	defer in.Close()
	out, err := whole.NewFile(path, whole.Private)
	if err != nil {
		return "", err
	}
	defer out.Abandon()
	if _, err := io.Copy(out, in); err != nil {
		return "", err
	}
	if aside, err = setAside(ctx, dir, now()); err != nil {
		return "", err
	}
	return aside, out.Keep()
}

// setAside moves the database that is there among the copies, with the journal
// of one that could not be closed.
func setAside(ctx context.Context, dir string, at time.Time) (string, error) {
	path := filepath.Join(dir, FileName)
	info, err := os.Stat(path)
	if errors.Is(err, os.ErrNotExist) {
		info, err = nil, nil
	}
	if err != nil {
		return "", err
	}
	aside := ""
	if info != nil && info.Size() > 0 {
		// The journal is written into the file, if the file can be read at all.
		if db, err := sql.Open(driverName, address(path)); err == nil {
			db.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
			db.Close()
		}
		aside = filepath.Join(dir, copiesFolder, "replaced-"+at.UTC().Format("2006-01-02-150405.000")+".db")
		if err := os.Rename(path, aside); err != nil {
			return "", err
		}
	}
	for _, end := range []string{"-wal", "-shm"} {
		var err error
		if aside != "" {
			err = os.Rename(path+end, aside+end)
		} else {
			err = os.Remove(path + end)
		}
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			return "", err
		}
	}
	return aside, nil
}

// claimFile is held by who serves the studio or puts a copy in its place.
const claimFile = "studio.lock"

// Busy is the refusal of a folder that another process serves.
type Busy struct {
	Dir   string
	Where string // the address at which it is served; "" while it is not known
}

// Error says where the studio is served.
func (b *Busy) Error() string {
	if b.Where == "" {
		return fmt.Sprintf("another lapwright is working in %q", b.Dir)
	}
	return fmt.Sprintf("another lapwright is serving %q already, at %s", b.Dir, b.Where)
}

// Claim takes a folder for this process alone, making it when it is not there.
// The claim ends with the process, however it ends. Its note is the address
// that others are told.
func Claim(dir string) (*whole.Lock, error) {
	if err := whole.MakeFolder(dir); err != nil {
		return nil, err
	}
	lock, note, err := whole.TakeLock(filepath.Join(dir, claimFile))
	if err == nil && lock == nil {
		return nil, &Busy{Dir: dir, Where: note}
	}
	return lock, err
}
