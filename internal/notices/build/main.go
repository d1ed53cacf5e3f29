// Command build gathers the licences of everything that goes into the program
// into internal/notices/notices.txt. It asks the build what is linked, on every
// system that the program is made for, so that nothing is forgotten and nothing
// is named that isn't there.
//
// With -check it writes nothing and fails when the committed file is stale. It
// runs at the root of the repository and is no part of the program.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"lapwright/internal/notices"
)

const (
	out = "internal/notices/notices.txt"
	// scripts has the licences of what is bundled into the pages' scripts; the
	// build of those scripts writes it.
	scripts = "internal/web/assets/licences.txt"
)

// systems are what the program is made for. What is linked depends little on the
// processor, so one of each is asked.
var systems = []string{"linux/amd64", "linux/arm64", "windows/amd64", "darwin/arm64"}

// fonts are the folders of the fonts and the files with their licences.
var fonts = []struct{ name, licence string }{
	{"Bravura (font)", "third_party/bravura/LICENSE.txt"},
	{"DejaVu Sans Condensed (font)", "third_party/dejavu/LICENSE.txt"},
	{"Gentium Plus (font)", "third_party/gentium/LICENSE.txt"},
	{"Source Sans 3 (font)", "internal/web/assets/fonts/source-sans-LICENSE.txt"},
	{"Source Serif 4 (font)", "internal/web/assets/fonts/source-serif-LICENSE.txt"},
}

// licence is how files are called that say what something is under.
var licence = regexp.MustCompile(`(?i)^((un)?licen[cs]e|copying|notice|patents|copyright|authors\.licen[cs]e)([-.].*)?$`)

func main() {
	check := flag.Bool("check", false, "fail when the committed file is stale, write nothing")
	flag.Parse()
	if err := run(*check); err != nil {
		fmt.Fprintln(os.Stderr, "notices:", err)
		os.Exit(1)
	}
}

func run(check bool) error {
	text, err := gather()
	if err != nil {
		return err
	}
	old, err := os.ReadFile(out)
	if err == nil && bytes.Equal(old, text) {
		return nil
	}
	if check {
		return fmt.Errorf("%s is stale; run make notices and commit it", out)
	}
	fmt.Printf("%s: %d bytes\n", out, len(text))
	return os.WriteFile(out, text, 0o644)
}

func gather() ([]byte, error) {
	var text bytes.Buffer
	add := func(name string, file string) error {
		b, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		part(&text, name, b)
		return nil
	}
	if err := add("Lapwright", "LICENSE"); err != nil {
		return nil, err
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env: %w", err)
	}
	if err := add("the Go standard library", filepath.Join(strings.TrimSpace(string(goroot)), "LICENSE")); err != nil {
		return nil, err
	}
	modules, err := linked()
	if err != nil {
		return nil, err
	}
	for _, m := range modules {
		if len(m.files) == 0 {
			return nil, fmt.Errorf("module %s has no licence file in %s", m.name, m.dir)
		}
		var all [][]byte
		for _, f := range m.files {
			b, err := os.ReadFile(f)
			if err != nil {
				return nil, err
			}
			if where, _ := filepath.Rel(m.dir, f); len(m.files) > 1 {
				b = append([]byte("("+filepath.ToSlash(where)+")\n\n"), b...)
			}
			all = append(all, bytes.TrimSpace(b))
		}
		part(&text, m.name, bytes.Join(all, []byte("\n\n")))
	}
	b, err := os.ReadFile(scripts)
	if err != nil {
		return nil, err
	}
	if !bytes.HasPrefix(b, []byte(notices.Rule)) {
		return nil, fmt.Errorf("%s has no parts; run go run ./internal/web/build", scripts)
	}
	text.Write(bytes.TrimSpace(b))
	text.WriteString("\n\n")
	for _, f := range fonts {
		if err := add(f.name, f.licence); err != nil {
			return nil, err
		}
	}
	return append(bytes.TrimSpace(text.Bytes()), '\n'), nil
}

// part writes one part, its lines ended alike.
func part(to *bytes.Buffer, name string, text []byte) {
	text = bytes.ReplaceAll(bytes.TrimSpace(text), []byte("\r\n"), []byte("\n"))
	fmt.Fprintf(to, "%s%s\n\n%s\n\n", notices.Rule, name, text)
}

// module is one that the program links: its name and version, and the licence
// files at its root and on the way to each linked package.
type module struct {
	name, dir string
	files     []string
}

// linked asks go list for the program's modules on every system.
func linked() ([]module, error) {
	found := map[string]*module{}
	for _, s := range systems {
		goos, goarch, _ := strings.Cut(s, "/")
		cmd := exec.Command("go", "list", "-deps", "-json=Dir,Module", "./cmd/lapwright")
		cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH="+goarch, "CGO_ENABLED=0", "GOFLAGS=")
		cmd.Stderr = os.Stderr
		b, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("go list for %s: %w", s, err)
		}
		for dec := json.NewDecoder(bytes.NewReader(b)); ; {
			var p struct {
				Dir    string
				Module *struct {
					Path, Version, Dir string
					Main               bool
				}
			}
			if err := dec.Decode(&p); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				return nil, err
			}
			if p.Module == nil || p.Module.Main {
				continue
			}
			m := found[p.Module.Path]
			if m == nil {
				m = &module{name: p.Module.Path + " " + p.Module.Version, dir: p.Module.Dir}
				found[p.Module.Path] = m
			}
			if err := m.onTheWay(p.Dir); err != nil {
				return nil, err
			}
		}
	}
	var all []module
	for _, m := range found {
		slices.Sort(m.files)
		all = append(all, *m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.name, b.name) })
	if len(all) == 0 {
		return nil, errors.New("go list names no module")
	}
	return all, nil
}

// onTheWay takes in the licence files from a package's folder up to its module's.
func (m *module) onTheWay(dir string) error {
	for {
		list, err := os.ReadDir(dir)
		if err != nil {
			return err
		}
		for _, e := range list {
			name := filepath.Join(dir, e.Name())
			if !e.IsDir() && !strings.HasSuffix(e.Name(), ".go") && licence.MatchString(e.Name()) && !slices.Contains(m.files, name) {
				m.files = append(m.files, name)
			}
		}
		if dir == m.dir || !strings.HasPrefix(dir, m.dir) {
			return nil
		}
		dir = filepath.Dir(dir)
	}
}
