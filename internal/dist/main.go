// Command dist makes what is handed out: the program for each system, a source
// archive with every library in it, and their checksums.
//
// The programs are built from the unpacked source archive, without a network, so
// whoever has the archive and the same Go can make the same bytes. Everything is
// made from the last commit, never from files that are not committed, and twice:
// the second time in another folder with an empty build cache. Differences are
// an error. It runs at the root of the repository and is no part of the program.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// platforms are the systems that the program is handed out for.
var platforms = []string{"linux/amd64", "linux/arm64", "windows/amd64", "darwin/amd64", "darwin/arm64"}

func main() {
	out := flag.String("out", "dist", "folder to make; an earlier one is replaced")
	only := flag.String("platforms", strings.Join(platforms, ","), "which systems")
	flag.Parse()
	if err := run(*out, strings.Split(*only, ",")); err != nil {
		fmt.Fprintln(os.Stderr, "dist:", err)
		os.Exit(1)
	}
}

func run(out string, systems []string) error {
	first, err := makeAll(systems, false)
	if err != nil {
		return err
	}
	// The processor's own system is enough to see a build that differs; all
	// archives are packed again.
	fmt.Println("again, from nothing, to compare")
	second, err := makeAll(systems[:1], true)
	if err != nil {
		return err
	}
	for name, b := range second {
		if !bytes.Equal(b, first[name]) {
			return fmt.Errorf("%s is not the same when it is made twice", name)
		}
	}
	if err := os.RemoveAll(out); err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	var sums bytes.Buffer
	for _, name := range sorted(first) {
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(first[name]), name)
		if err := os.WriteFile(filepath.Join(out, name), first[name], 0o644); err != nil {
			return err
		}
	}
	fmt.Print(sums.String())
	return os.WriteFile(filepath.Join(out, "SHA256SUMS"), sums.Bytes(), 0o644)
}

// makeAll makes everything once, in a folder of its own that is removed. With
// fresh, Go's build cache is empty.
func makeAll(systems []string, fresh bool) (files map[string][]byte, err error) {
	dir, err := os.MkdirTemp("", "lapwright-dist-*")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	src := filepath.Join(dir, "src")
	when, err := unpack(src)
	if err != nil {
		return nil, err
	}
	if _, err := command(src, nil, "go", "mod", "vendor"); err != nil {
		return nil, err
	}
	env := []string{"GOFLAGS=-mod=vendor", "GOPROXY=off", "GOWORK=off", "GOTOOLCHAIN=local", "CGO_ENABLED=0"}
	if fresh {
		env = append(env, "GOCACHE="+filepath.Join(dir, "cache"))
	}
	build := func(system, to string) error {
		goos, goarch, ok := strings.Cut(system, "/")
		if !ok {
			return fmt.Errorf("%q is no system/processor", system)
		}
		_, err := command(src, append(slices.Clone(env), "GOOS="+goos, "GOARCH="+goarch),
			"go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-o", to, "./cmd/lapwright")
		return err
	}
	// The program says its version and writes its own manual: one for this machine.
	own := filepath.Join(dir, "own")
	if err := build(strings.TrimSpace(host()), own); err != nil {
		return nil, err
	}
	said, err := command(dir, nil, own, "--version")
	if err != nil {
		return nil, err
	}
	version := strings.Fields(string(said))[1]
	manual, err := command(dir, nil, own, "manual")
	if err != nil {
		return nil, err
	}
	notices, err := command(dir, nil, own, "--licences")
	if err != nil {
		return nil, err
	}
	readme, err := os.ReadFile(filepath.Join(src, "README.md"))
	if err != nil {
		return nil, err
	}
	files = map[string][]byte{}
	top := "lapwright-" + version
	for _, system := range systems {
		fmt.Println("building for", system)
		program := filepath.Join(dir, "program")
		if err := build(system, program); err != nil {
			return nil, err
		}
		b, err := os.ReadFile(program)
		if err != nil {
			return nil, err
		}
		name := top + "-" + strings.ReplaceAll(system, "/", "-")
		extra := []entry{{"README.md", readme, 0o644}, {"LICENCES.txt", notices, 0o644}}
		if strings.HasPrefix(system, "windows/") {
			files[name+".zip"], err = zipped(name, append([]entry{{"lapwright.exe", b, 0o755}}, extra...), when)
		} else {
			extra = append(extra, entry{"lapwright.1", manual, 0o644})
			files[name+".tar.gz"], err = tarred(name, append([]entry{{"lapwright", b, 0o755}}, extra...), when)
		}
		if err != nil {
			return nil, err
		}
	}
	tree, err := entries(src)
	if err != nil {
		return nil, err
	}
	files[top+"-source.tar.gz"], err = tarred(top, tree, when)
	return files, err
}

// host returns this machine's system, as the go command has it.
func host() string {
	out, err := command(".", nil, "go", "env", "GOHOSTOS", "GOHOSTARCH")
	if err != nil {
		return ""
	}
	return strings.Join(strings.Fields(string(out)), "/")
}

// unpack puts the last commit's files into dir and gives its time.
func unpack(dir string) (time.Time, error) {
	said, err := command(".", nil, "git", "log", "-1", "--format=%ct")
	if err != nil {
		return time.Time{}, err
	}
	seconds, err := strconv.ParseInt(strings.TrimSpace(string(said)), 10, 64)
	if err != nil {
		return time.Time{}, err
	}
	archive, err := command(".", nil, "git", "archive", "--format=tar", "HEAD")
	if err != nil {
		return time.Time{}, err
	}
	for r := tar.NewReader(bytes.NewReader(archive)); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return time.Unix(seconds, 0).UTC(), nil
		}
		if err != nil {
			return time.Time{}, err
		}
		if h.Typeflag != tar.TypeReg {
			continue
		}
		if !filepath.IsLocal(h.Name) {
			return time.Time{}, fmt.Errorf("%q leads out of the archive", h.Name)
		}
		path := filepath.Join(dir, filepath.FromSlash(h.Name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return time.Time{}, err
		}
		b, err := io.ReadAll(r)
		if err != nil {
			return time.Time{}, err
		}
		if err := os.WriteFile(path, b, fs.FileMode(h.Mode)&0o755); err != nil {
			return time.Time{}, err
		}
	}
}

// entry is a file of an archive.
type entry struct {
	name string
	data []byte
	mode fs.FileMode
}

// entries returns the files below dir, by name.
func entries(dir string) (all []entry, err error) {
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		mode := fs.FileMode(0o644)
		if info.Mode()&0o100 != 0 {
			mode = 0o755
		}
		rel, err := filepath.Rel(dir, path)
		all = append(all, entry{filepath.ToSlash(rel), b, mode})
		return err
	})
	slices.SortFunc(all, func(a, b entry) int { return strings.Compare(a.name, b.name) })
	return all, err
}

// tarred and zipped pack files under a folder; owners are nobody, and every time
// is the commit's.
func tarred(top string, files []entry, when time.Time) ([]byte, error) {
	var out bytes.Buffer
	packed, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(packed)
	for _, f := range files {
		h := &tar.Header{Typeflag: tar.TypeReg, Name: top + "/" + f.name, Size: int64(len(f.data)), Mode: int64(f.mode), ModTime: when, Format: tar.FormatPAX}
		if err := w.WriteHeader(h); err != nil {
			return nil, err
		}
		if _, err := w.Write(f.data); err != nil {
			return nil, err
		}
	}
	if err := errors.Join(w.Close(), packed.Close()); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func zipped(top string, files []entry, when time.Time) ([]byte, error) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range files {
		h := &zip.FileHeader{Name: top + "/" + f.name, Method: zip.Deflate, Modified: when}
		h.SetMode(f.mode)
		to, err := w.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := to.Write(f.data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// command runs a program in dir and gives what it printed.
func command(dir string, env []string, name string, args ...string) ([]byte, error) {
	cmd := exec.Command(name, args...)
	cmd.Dir, cmd.Env, cmd.Stderr = dir, append(os.Environ(), env...), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", name, strings.Join(args, " "), err)
	}
	return out, nil
}

func sorted(m map[string][]byte) []string {
	return slices.Sorted(maps.Keys(m))
}
