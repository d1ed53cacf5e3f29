package web

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"lapwright/internal/lesson/module"
)

//go:embed assets
var assetFiles embed.FS

// assets are the built files, by name.
type assets map[string]asset

type asset struct {
	bytes  []byte
	packed func() []byte // with gzip, when it is first asked for; nil when that saves nothing
	mark   string        // of the content, for the address
	mime   string
}

var assetTypes = map[string]string{".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8", ".woff2": "font/woff2", ".txt": "text/plain; charset=utf-8", ".svg": "image/svg+xml", ".wasm": "application/wasm"}

// programFile is the core as pages run it.
const programFile = "lapwright.wasm"

func readAssets() (assets, error) {
	out := assets{}
	err := fs.WalkDir(assetFiles, "assets", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := assetFiles.ReadFile(name)
		if err != nil {
			return err
		}
		a := newAsset(name, b)
		if path.Ext(name) != ".woff2" {
			a.packed = sync.OnceValue(func() []byte { return module.Pack(b) })
		}
		out[strings.TrimPrefix(name, "assets/")] = a
		return nil
	})
	a := newAsset(programFile, module.Program())
	a.packed = module.Packed
	out[programFile] = a
	return out, err
}

func newAsset(name string, b []byte) asset {
	sum := sha256.Sum256(b)
	return asset{bytes: b, mark: hex.EncodeToString(sum[:6]), mime: assetTypes[path.Ext(name)]}
}

// address returns where a file is served; it changes when the file does.
func (a assets) address(name string) string { return "/assets/" + name + "?v=" + a[name].mark }

// serve answers with a built file.
func (a assets) serve(w http.ResponseWriter, r *http.Request) error {
	f, ok := a[r.PathValue("file")]
	if !ok {
		return errNowhere
	}
	b, mark := f.bytes, f.mark
	if f.packed != nil && takesGzip(r) {
		w.Header().Set("Vary", "Accept-Encoding")
		w.Header().Set("Content-Encoding", "gzip")
		b, mark = f.packed(), f.mark+"-gzip"
	}
	w.Header().Set("Content-Type", f.mime)
	w.Header().Set("ETag", `"`+mark+`"`)
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b))
	return nil
}

func takesGzip(r *http.Request) bool {
	for _, e := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		if strings.TrimSpace(e) == "gzip" {
			return true
		}
	}
	return false
}
