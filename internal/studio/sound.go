package studio

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lapwright/internal/whole"
)

// The bounds on the sound of takes, in bytes: of one, and of a studio. A minute
// takes some 3 MB.
const MaxSound = 64 << 20

var maxSounds = int64(2 << 30)

// soundsFolder holds the sound of takes, a file each named by its SHA-256. The
// nightly copies are of the database alone and hold none.
const (
	soundsFolder = "recordings"
	soundEnding  = ".flac"
)

// youngSound is how old sound is at least before it is deleted for want of a take: a
// take is kept after its sound.
const youngSound = time.Hour

// ErrCleared is the error for sound that is not there any more.
var ErrCleared = errors.New("the sound of this take was cleared")

// Sounds is the sound of a studio's takes.
type Sounds struct{ *store }

// file returns where a sound lies; a sum that is none gives "".
func (s *Sounds) file(sum string) string {
	if len(sum) != 2*sha256.Size || strings.Trim(sum, "0123456789abcdef") != "" {
		return ""
	}
	return filepath.Join(s.dir, soundsFolder, sum+soundEnding)
}

// Keep keeps the sound of a take, as a FLAC file's bytes, and gives the sum that it is
// known by. It is refused beyond the bounds.
func (s *Sounds) Keep(b []byte) (string, error) {
	if len(b) > MaxSound {
		return "", &Trouble{What: "save", Say: fmt.Sprintf("the take is larger than %d MB, the most that is kept", MaxSound>>20)}
	}
	digest := sha256.Sum256(b)
	sum := hex.EncodeToString(digest[:])
	path := s.file(sum)
	if _, err := os.Stat(path); err == nil {
		return sum, nil
	}
	there, err := s.size()
	if err != nil {
		return "", s.plain("save", err)
	}
	if there+int64(len(b)) > maxSounds {
		return "", &Trouble{What: "save", Say: fmt.Sprintf("the studio holds %d MB of takes, and %d are the most; clear some first", there>>20, maxSounds>>20)}
	}
	if !s.place.Still() {
		return "", s.plain("save", errAway)
	}
	if err := whole.MakeFolder(filepath.Dir(path)); err != nil {
		return "", s.plain("save", err)
	}
	f, err := whole.NewFile(path, whole.Private)
	if err != nil {
		return "", s.plain("save", err)
	}
	defer f.Abandon()
	if _, err := f.Write(b); err != nil {
		return "", s.plain("save", err)
	}
	return sum, s.plain("save", f.Keep())
}

// size returns how many bytes all sound takes.
func (s *Sounds) size() (int64, error) {
	list, err := os.ReadDir(filepath.Join(s.dir, soundsFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	var n int64
	for _, e := range list {
		if info, err := e.Info(); err == nil {
			n += info.Size()
		}
	}
	return n, err
}

// Get returns the sound of a take. One that is not there gives ErrCleared.
func (s *Sounds) Get(sum string) ([]byte, error) {
	path := s.file(sum)
	if path == "" {
		return nil, ErrCleared
	}
	b, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrCleared
	}
	if err != nil {
		return nil, s.plain("read", err)
	}
	if digest := sha256.Sum256(b); hex.EncodeToString(digest[:]) != sum {
		return nil, &Trouble{What: "read", Say: "the sound of this take is damaged: " + path}
	}
	return b, nil
}

// Clear deletes the sound of a take for good. It is no error when it is gone.
func (s *Sounds) Clear(sum string) error {
	path := s.file(sum)
	if path == "" {
		return nil
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return s.plain("clear the take", err)
	}
	return nil
}

// dropUnused deletes sound that no take in the studio or its trash speaks of any
// more: of one that was forgotten, or never came to be kept.
func (s *Sounds) dropUnused(ctx context.Context) error {
	list, err := os.ReadDir(filepath.Join(s.dir, soundsFolder))
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		return err
	}
	for _, e := range list {
		sum := strings.TrimSuffix(e.Name(), soundEnding)
		path := s.file(sum)
		info, err := e.Info()
		if path == "" || err != nil || s.now().Sub(info.ModTime()).Abs() < youngSound {
			continue // it may be about to be kept
		}
		if err := s.dropIfUnused(ctx, sum); err != nil {
			return err
		}
	}
	return nil
}

// dropIfUnused deletes a sound that no take speaks of.
func (s *Sounds) dropIfUnused(ctx context.Context, sum string) error {
	var n int
	if err := s.db.QueryRowContext(ctx, query("speaks of"), "%"+sum+"%").Scan(&n); err != nil || n > 0 {
		return err
	}
	return s.Clear(sum)
}

// of lists the sums that the revisions of an item speak of and that are there.
func (s *Sounds) of(ctx context.Context, id string) ([]string, error) {
	all, err := s.there()
	if err != nil || len(all) == 0 {
		return nil, err
	}
	rows, err := s.db.QueryContext(ctx, query("kept revisions"), id)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var number int
		var parent sql.NullInt64
		var saved int64
		var why, title, body, extra string
		if err := rows.Scan(&number, &parent, &saved, &why, &title, &body, &extra); err != nil {
			return nil, err
		}
		for _, sum := range all {
			if strings.Contains(body, sum) && !slices.Contains(out, sum) {
				out = append(out, sum)
			}
		}
	}
	return out, rows.Err()
}

// there lists the sums of the sounds that are there.
func (s *Sounds) there() ([]string, error) {
	list, err := os.ReadDir(filepath.Join(s.dir, soundsFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []string
	for _, e := range list {
		if sum := strings.TrimSuffix(e.Name(), soundEnding); s.file(sum) != "" {
			out = append(out, sum)
		}
	}
	return out, err
}

// export writes the sound of all takes into an archive.
func (s *Sounds) export(z *zip.Writer) error {
	all, err := s.there()
	if err != nil {
		return s.plain("read", err)
	}
	for _, sum := range all {
		b, err := s.Get(sum)
		if errors.Is(err, ErrCleared) {
			continue // meanwhile
		}
		if err != nil {
			return err
		}
		f, err := z.CreateHeader(&zip.FileHeader{Name: soundsFolder + "/" + sum + soundEnding, Method: zip.Store, Modified: s.now()})
		if err == nil {
			_, err = f.Write(b)
		}
		if err != nil {
			return fmt.Errorf("could not write the archive: %w", err)
		}
	}
	return nil
}

// bring keeps the sound that an archive holds.
func (s *Sounds) bring(a *opened) error {
	for name := range a.files {
		sum, ok := strings.CutPrefix(name, soundsFolder+"/")
		if !ok {
			continue
		}
		sum = strings.TrimSuffix(sum, soundEnding)
		if s.file(sum) == "" {
			return bad("%q in the archive is no sound of a take", name)
		}
		b, err := a.unpack(name, MaxSound)
		if err != nil {
			return bad("%v", err)
		}
		if digest := sha256.Sum256(b); hex.EncodeToString(digest[:]) != sum {
			return bad("%q in the archive is not what was exported: its sum differs", name)
		}
		if _, err := s.Keep(b); err != nil {
			return err
		}
	}
	return nil
}
