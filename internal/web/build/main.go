package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"

	"lapwright/internal/notices"
	glue "lapwright/third_party/go"
)

const (
	source = "internal/web/src"
	pages  = "internal/web/assets"
	lesson = "internal/lesson/page"
	review = "internal/review/page"
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

// licences returns the licences of the packages whose code is in the scripts, one
// part each as internal/notices reads them; they ask to go with it.
func licences(bundled map[string]bool) ([]byte, error) {
	var out bytes.Buffer
	for _, name := range slices.Sorted(maps.Keys(bundled)) {
		dir := filepath.Join(source, "node_modules", filepath.FromSlash(name))
		b, err := os.ReadFile(filepath.Join(dir, "LICENSE"))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		var about struct{ Version string }
		if text, err := os.ReadFile(filepath.Join(dir, "package.json")); err != nil {
			return nil, err
		} else if err := json.Unmarshal(text, &about); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		fmt.Fprintf(&out, "%s%s %s\n\n%s\n\n", notices.Rule, name, about.Version, bytes.TrimSpace(b))
	}
	return out.Bytes(), nil
}

// packagesOf adds the npm packages that esbuild's metafile names as inputs.
func packagesOf(metafile string, to map[string]bool) error {
	var meta struct {
		Inputs map[string]json.RawMessage
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return err
	}
	for path := range meta.Inputs {
		_, inside, ok := strings.Cut(path, "node_modules/")
		if !ok || strings.HasPrefix(inside, "@fontsource") { // fonts have licence files of their own
			continue
		}
		parts := strings.SplitN(inside, "/", 3)
		name := parts[0]
		if strings.HasPrefix(name, "@") {
			name += "/" + parts[1]
		}
		to[name] = true
	}
	return nil
}

func main() {
	check := flag.Bool("check", false, "fail when the committed files are stale, write nothing")
	test := flag.Bool("test", false, "run the scripts' unit tests in Node, write nothing")
	flag.Parse()
	work := func() error { return run(*check) }
	if *test {
		work = runTests
	}
	if err := work(); err != nil {
		fmt.Fprintln(os.Stderr, "build:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	files := map[string][]byte{source + "/" + formsFile: typescript(forms)}
	bundled := map[string]bool{}
	for _, b := range []struct{ entry, out string }{
		{"app.ts", pages + "/app.js"},
		{"app.css", pages + "/app.css"},
		{"editor.ts", pages + "/editor.js"},
		{"capture.ts", pages + "/capture.js"},
		{"lesson.ts", lesson + "/page.js"},
		{"capture.ts", lesson + "/capture.js"},
		{"lesson.css", lesson + "/page.css"},
		{"coreworker.ts", lesson + "/coreworker.js"},
		{"coreworker.ts", pages + "/coreworker.js"},
		{"keep.ts", lesson + "/keep.js"},
		{"review.ts", review + "/review.js"},
		{"review.css", review + "/review.css"},
	} {
		out, err := bundle(b.entry, bundled)
		if err != nil {
			return err
		}
		if b.entry == "coreworker.ts" {
			if out, err = behindGlue(out); err != nil {
				return err
			}
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
	if files[pages+"/licences.txt"], err = licences(bundled); err != nil {
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

// behindGlue puts the script that starts a Go program before the worker's own, small
// and without its remarks but for whose it is.
func behindGlue(worker []byte) ([]byte, error) {
	whose, _, _ := strings.Cut(glue.Script, "\n\n")
	res := api.Transform(glue.Script, api.TransformOptions{
		MinifyWhitespace: true, MinifySyntax: true, MinifyIdentifiers: true, Target: api.ES2022, Charset: api.CharsetASCII, LegalComments: api.LegalCommentsNone,
	})
	if len(res.Errors) > 0 {
		return nil, fmt.Errorf("the glue script: %v", api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage}))
	}
	return slices.Concat([]byte(whose+"\n"), res.Code, worker), nil
}

func sorted(m map[string][]byte) []string {
	var names []string
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// bundle returns one self-contained script or style sheet, and adds the packages
// that went into it.
func bundle(entry string, packages map[string]bool) ([]byte, error) {
	font := api.LoaderEmpty
	external := []string{"/assets/*"}
	if entry == "lesson.css" || entry == "review.css" {
		font, external = api.LoaderDataURL, nil
	}
	format := api.FormatESModule
	if entry == "lesson.ts" || entry == "review.ts" || entry == "coreworker.ts" || entry == "keep.ts" {
		// A module waits for the end of the page, which is megabytes of sound; the
		// worker's script stands behind another.
		format = api.FormatIIFE
	}
	res := api.Build(api.BuildOptions{
		EntryPoints:       []string{filepath.Join(source, entry)},
		Bundle:            true,
		MinifyWhitespace:  true,
		MinifySyntax:      true,
		MinifyIdentifiers: true,
		Target:            api.ES2022,
		Format:            format,
		Charset:           api.CharsetASCII,
		LegalComments:     api.LegalCommentsNone,
		External:          external,
		Loader:            map[string]api.Loader{".woff2": font},
		Outfile:           "out",
		Write:             false,
		Metafile:          true,
	})
	if len(res.Errors) > 0 {
		text := api.FormatMessages(res.Errors, api.FormatMessagesOptions{Kind: api.ErrorMessage})
		return nil, fmt.Errorf("%s: %v", entry, text)
	}
	if len(res.OutputFiles) != 1 {
		return nil, fmt.Errorf("%s gave %d files, want one", entry, len(res.OutputFiles))
	}
	if err := packagesOf(res.Metafile, packages); err != nil {
		return nil, err
	}
	return res.OutputFiles[0].Contents, nil
}
