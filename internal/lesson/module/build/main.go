package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"lapwright/internal/whole"
)

const (
	program = "./cmd/lapwright-page"
	out     = "internal/lesson/module/lapwright-page.wasm"
	digest  = "internal/lesson/module/digest.txt"
	glue    = "third_party/go/wasm_exec.js"
)

// small are packages that no figure of speed rests on: without inlining the
// program is a tenth smaller.
var small = []string{
	"encoding/json", "reflect", "fmt", "time", "strconv", "path", "internal/reflectlite", "internal/fmtsort", "syscall/js",
	"os", "syscall", "io/fs", "errors", "bytes", "strings", "sort", "unicode/utf8", "encoding/base64", "encoding/binary",
	"lapwright/sheet/...", "lapwright/notation/...", "lapwright/rig/...", "lapwright/say", "lapwright/report", "lapwright/retune/...", "lapwright/page",
	"lapwright/fault", "lapwright/wire", "lapwright/pitch", "lapwright/tune", "lapwright/tab", "lapwright/arrange/frame", "lapwright/arrange/outline", "lapwright/arrange/touch",
}

func flags(stripped bool) []string {
	f := []string{"-trimpath", "-buildvcs=false"}
	if stripped {
		f = append(f, "-ldflags=-s -w")
	}
	for _, p := range small {
		f = append(f, "-gcflags="+p+"=-l")
	}
	return f
}

func main() {
	check := flag.Bool("check", false, "fail when the committed program is not what the sources give, write nothing")
	quick := flag.Bool("quick", false, "compare a digest of the sources alone, write nothing")
	parts := flag.Bool("rooms", false, "print what each room adds to the packed program, write nothing")
	flag.Parse()
	if *parts {
		if err := rooms(os.Stdout); err != nil {
			fmt.Fprintln(os.Stderr, "module:", err)
			os.Exit(1)
		}
		return
	}
	if err := run(*check, *quick); err != nil {
		fmt.Fprintln(os.Stderr, "module:", err)
		os.Exit(1)
	}
}

func run(check, quick bool) error {
	sum, err := sources()
	if err != nil {
		return err
	}
	stale := fmt.Errorf("%s is not what the sources give: make it again with `go run ./internal/lesson/module/build`", out)
	if quick || check {
		kept, err := os.ReadFile(digest)
		if err != nil {
			return err
		}
		if string(kept) != sum {
			return stale
		}
		if quick {
			return nil
		}
	}
	made, err := compile(flags(true))
	if err != nil {
		return err
	}
	root, err := goTool("env", "GOROOT")
	if err != nil {
		return err
	}
	script, err := os.ReadFile(filepath.Join(strings.TrimSpace(root), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return err
	}
	files := map[string][]byte{out: made, glue: script, digest: []byte(sum)}
	for name, b := range files {
		if !check {
			if err := whole.WriteFile(name, b); err != nil {
				return err
			}
			continue
		}
		kept, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if !bytes.Equal(kept, b) {
			return stale
		}
	}
	return nil
}

// compile builds the program.
func compile(flags []string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "lapwright-module-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	name := filepath.Join(dir, "out.wasm")
	if _, err := goTool(append(append([]string{"build"}, flags...), "-o", name, program)...); err != nil {
		return nil, err
	}
	return os.ReadFile(name)
}

// sources returns a digest of the toolchain, the flags and every source file that
// goes into the program; those of other modules stand in by go.sum.
func sources() (string, error) {
	listed, err := goTool("list", "-deps", "-f", `{{if and .Module .Module.Main}}{{$d := .Dir}}{{range .GoFiles}}{{$d}}/{{.}}{{"\n"}}{{end}}{{range .EmbedFiles}}{{$d}}/{{.}}{{"\n"}}{{end}}{{end}}`, program)
	if err != nil {
		return "", err
	}
	names := strings.Fields(listed)
	if len(names) < 50 {
		return "", fmt.Errorf("found %d source files of the program: they are not being seen", len(names))
	}
	top, err := os.Getwd()
	if err != nil {
		return "", err
	}
	for _, more := range []string{"go.mod", "go.sum"} {
		names = append(names, filepath.Join(top, more))
	}
	slices.Sort(names)
	h := sha256.New()
	fmt.Fprintln(h, runtime.Version(), flags(true))
	for _, name := range names {
		f, err := os.Open(name)
		if err != nil {
			return "", err
		}
		rel, err := filepath.Rel(top, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintln(h, filepath.ToSlash(rel))
		_, err = io.Copy(h, f)
		f.Close()
		if err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil)) + "\n", nil
}

func goTool(args ...string) (string, error) {
	cmd := exec.Command("go", args...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOWORK=off", "GOFLAGS=", "GOEXPERIMENT=")
	var said bytes.Buffer
	cmd.Stderr = &said
	b, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w\n%s", args[0], err, said.Bytes())
	}
	return string(b), nil
}
