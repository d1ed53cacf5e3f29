package web

import (
	"context"
	"io"
	"net/http"
	"os"
	"strconv"
	"time"

	"lapwright/internal/studio"
)

// archivePages let a whole studio go and come.
type archivePages struct {
	studio *studio.Studio
	moves  *queue // whole studios on their way, which takes as long as the line does
	heavy  *queue
	dir    string // for temporary files
	now    func() time.Time
}

// export returns the whole studio. It is written to disk first: whoever fetches it
// slowly must not hold the database open meanwhile.
func (a archivePages) export(w http.ResponseWriter, r *http.Request) error {
	return a.moves.do(r.Context(), func(ctx context.Context) error {
		f, err := os.CreateTemp(a.dir, "studio-*")
		if err != nil {
			return errNoRoom
		}
		defer os.Remove(f.Name())
		defer f.Close()
		size, err := a.write(ctx, f)
		if err != nil {
			return err
		}
		attachment(w, "lapwright-"+a.now().Format("2006-01-02")+".zip", "application/zip")
		w.Header().Set("Content-Length", strconv.FormatInt(size, 10))
		io.Copy(w, f) // what does not arrive is seen to be broken off by its length
		return nil
	})
}

// write writes the studio to a file and goes back to its beginning; it gives the
// size in bytes.
func (a archivePages) write(ctx context.Context, f *os.File) (int64, error) {
	if err := a.heavy.do(ctx, func(ctx context.Context) error { return a.studio.Export(ctx, f, studio.WithoutTakes) }); err != nil {
		return 0, err
	}
	size, err := f.Seek(0, io.SeekCurrent)
	if err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		return 0, errNoRoom
	}
	return size, nil
}

// bring takes a studio in.
func (a archivePages) bring(r *http.Request) (string, error) {
	return "/", a.moves.do(r.Context(), func(ctx context.Context) error {
		if err := readFiles(r, maxForm); err != nil {
			return err
		}
		defer r.MultipartForm.RemoveAll()
		f, h, err := r.FormFile("file")
		if err != nil {
			return errNoFile
		}
		defer f.Close()
		_, err = a.studio.Import(ctx, f, h.Size)
		return err
	})
}
