// Command build bundles the scripts and styles in internal/web/src into the
// files that are committed and embedded: internal/web/assets for the program's
// pages, internal/lesson/page for the page that a student opens from disk.
//
// With -check it writes nothing and fails when a committed file is not what the
// sources give. It runs at the root of the repository, after npm ci in the
// source folder, and is no part of the program.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"github.com/evanw/esbuild/pkg/api"
)

const (
	source = "internal/web/src"
	pages  = "internal/web/assets"
	lesson = "internal/lesson/page"
)

// fonts lists what is copied as it is: where from below node_modules, and to.
var fonts = [][2]string{
	{"@fontsource-variable/source-sans-3/files/source-sans-3-latin-wght-normal.woff2", "source-sans.woff2"},
	{"@fontsource-variable/source-sans-3/files/source-sans-3-latin-ext-wght-normal.woff2", "source-sans-ext.woff2"},
	{"@fontsource-variable/source-sans-3/files/source-sans-3-latin-wght-italic.woff2", "source-sans-italic.woff2"},
	{"@fontsource-variable/source-serif-4/files/source-serif-4-latin-wght-normal.woff2", "source-serif.woff2"},
	{"@fontsource-variable/source-sans-3/LICENSE", "source-sans-LICENSE.txt"},
	{"@fontsource-variable/source-serif-4/LICENSE", "source-serif-LICENSE.txt"},
}

// bundled lists the packages whose code is in the scripts; their licences ask
// to go with it.
var bundled = []string{
	"@codemirror/autocomplete", "@codemirror/commands", "@codemirror/language", "@codemirror/lint", "@codemirror/state", "@codemirror/view",
	"@lezer/common", "@lezer/highlight", "@lezer/lr", "@marijn/find-cluster-break", "crelt", "style-mod", "w3c-keyname",
}

// licences gives the licences of what is bundled, one after another.
func licences() ([]byte, error) {
	var out bytes.Buffer
	for _, name := range bundled {
		dir := filepath.Join(source, "node_modules", filepath.FromSlash(name))
		b, err := os.ReadFile(filepath.Join(dir, "LICENSE"))
		if errors.Is(err, os.ErrNotExist) {
			if _, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
				continue // not needed by the versions in the lock file
			}
		}
		if err != nil {
			return nil, err
		}
		fmt.Fprintf(&out, "%s\n\n%s\n\n", name, bytes.TrimSpace(b))
	}
	return out.Bytes(), nil
}

func main() {
	check := flag.Bool("check", false, "fail when the committed files are stale, write nothing")
	flag.Parse()
	if err := run(*check); err != nil {
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	files := map[string][]byte{}
	for _, b := range []struct{ entry, out string }{
		{"app.ts", pages + "/app.js"},
		{"app.css", pages + "/app.css"},
		{"editor.ts", pages + "/editor.js"},
		{"lesson.ts", lesson + "/page.js"},
		{"lesson.css", lesson + "/page.css"},
	} {
		out, err := bundle(b.entry)
		if err != nil {
			return err
		}
		files[b.out] = out
	}
	for _, f := range fonts {
		b, err := os.ReadFile(filepath.Join(source, "node_modules", filepath.FromSlash(f[0])))
		if err != nil {
			return fmt.Errorf("%w; run npm ci in %s", err, source)
		}
		files[pages+"/fonts/"+f[1]] = b
	}
	var err error
	if files[pages+"/licences.txt"], err = licences(); err != nil {
		return err
	}
	var stale error
	for _, name := range sorted(files) {
		old, err := os.ReadFile(name)
		if err == nil && bytes.Equal(old, files[name]) {
			continue
		}
		if check {
			stale = errors.Join(stale, fmt.Errorf("%s is stale; run make assets and commit it", name))
			continue
		}
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(name, files[name], 0o644); err != nil {
			return err
		}
		fmt.Printf("%s: %d bytes\n", name, len(files[name]))
	}
	return stale
}

func sorted(m map[string][]byte) []string {
	var names []string
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// bundle gives one self-contained script or style sheet.
func bundle(entry string) ([]byte, error) {
	font := api.LoaderEmpty
	external := []string{"/assets/*"}
	if entry == "lesson.css" {
		font, external = api.LoaderDataURL, nil
	}
	res := api.Build(api.BuildOptions{
		EntryPoints:       []string{filepath.Join(source, entry)},
		Bundle:            true,
		MinifyWhitespace:  true,
		MinifySyntax:      true,
		MinifyIdentifiers: true,
		Target:            api.ES2022,
		Format:            api.FormatESModule,
		Charset:           api.CharsetUTF8,
		LegalComments:     api.LegalCommentsNone,
		External:          external,
		Loader:            map[string]api.Loader{".woff2": font},
		Outfile:           "out",
		Write:             false,
	})
	if len(res.Errors) > 0 {
		text := api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage})
		return nil, fmt.Errorf("%s: %v", entry, text)
	}
	if len(res.OutputFiles) != 1 {
		return nil, fmt.Errorf("%s gave %d files, want one", entry, len(res.OutputFiles))
	}
	return res.OutputFiles[0].Contents, nil
}
