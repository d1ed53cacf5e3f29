package refcheck

import (
	"crypto/sha256"
	"encoding/hex"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Every file that came from elsewhere is as it came: third_party/MANIFEST has
// the sum of each (`cd third_party && sha256sum -c MANIFEST`; sums to FIPS 180-4).
// What we made there, the READMEs, the Go files that embed the fonts, and the
// tables that internal/letters makes of them (make check), is not in it.
func TestManifest(t *testing.T) {
	top := filepath.Join(Root(t), "third_party")
	b, err := os.ReadFile(filepath.Join(top, "MANIFEST"))
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for i, line := range strings.Split(strings.TrimSuffix(string(b), "\n"), "\n") {
		sum, name, ok := strings.Cut(line, "  ")
		if !ok || len(sum) != 2*sha256.Size || want[name] != "" {
			t.Fatalf("MANIFEST:%d: %q is no line of its own", i+1, line)
		}
		want[name] = sum
	}
	if len(want) < 800 {
		t.Fatalf("%d files in the manifest: it is not whole", len(want))
	}
	err = filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(top, path)
		if err != nil {
			return err
		}
		name = filepath.ToSlash(name)
		if name == "MANIFEST" || d.Name() == "README.md" || strings.HasSuffix(name, ".go") || strings.HasPrefix(name, "letters/") {
			return nil
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(b)
		switch got := hex.EncodeToString(sum[:]); {
		case want[name] == "":
			t.Errorf("%s is not in the manifest", name)
		case want[name] != got:
			t.Errorf("%s is not what it was: its sum is %s, the manifest has %s", name, got, want[name])
		}
		delete(want, name)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range want {
		t.Errorf("%s is in the manifest and not in the clone", name)
	}
}

// Each part says where it is from and under what licence, and the licence's
// text is there.
func TestWitnessesSayWhereTheyAreFrom(t *testing.T) {
	for readme, names := range map[string][]string{
		"witness": {"musicxml/suite/LICENSE", "smufl/LICENSE.md", "smufl/OFL.txt", "tunes/LICENSE.md"},
		"bravura": {"LICENSE.txt"}, "dejavu": {"LICENSE.txt"}, "gentium": {"LICENSE.txt"},
		"go":      {"LICENSE.txt"},
		"letters": {"../gentium/LICENSE.txt", "../dejavu/LICENSE.txt", "../bravura/LICENSE.txt"},
	} {
		dir := filepath.Join(Root(t), "third_party", readme)
		b, err := os.ReadFile(filepath.Join(dir, "README.md"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if !strings.Contains(string(b), "`"+name+"`") {
				t.Errorf("%s/README.md doesn't name the licence %s", readme, name)
			}
			if fi, err := os.Stat(filepath.Join(dir, filepath.FromSlash(name))); err != nil || fi.Size() < 300 {
				t.Errorf("%s: no text of the licence %s: %v", readme, name, err)
			}
		}
	}
	// Every folder of witnesses has its row.
	b, err := os.ReadFile(Reference(t, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	parts, err := os.ReadDir(Reference(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range parts {
		if p.IsDir() && !strings.Contains(string(b), "| `"+p.Name()+"/") {
			t.Errorf("witness/README.md has no row for %s", p.Name())
		}
	}
}

// The witnesses, some of them under the GPL, are for tests only: no Go file of
// the program names their folder, and Go embeds no file from it (an embedding
// file would have to lie in it or above it).
func TestProgramHoldsNoWitness(t *testing.T) {
	seen := 0
	err := filepath.WalkDir(Root(t), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == "node_modules" || d.Name() == ".git" || path == filepath.Join(Root(t), "internal", "refcheck") {
				return fs.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		seen++
		rel, _ := filepath.Rel(Root(t), path)
		if dir := filepath.ToSlash(filepath.Dir(rel)); dir == "." || dir == "third_party" || strings.HasPrefix(dir, "third_party/witness") {
			t.Errorf("%s could embed a witness", rel)
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, b, parser.ImportsOnly)
		if err != nil {
			return err
		}
		for _, imp := range f.Imports {
			if p, _ := strconv.Unquote(imp.Path.Value); p == "lapwright/internal/refcheck" {
				t.Errorf("%s imports the tests' witnesses", rel)
			}
		}
		if strings.Contains(string(b), "third_party/witness") {
			t.Errorf("%s names the tests' witnesses", rel)
		}
		return nil
	})
	if err != nil || seen < 100 {
		t.Fatalf("looked at %d files: %v", seen, err)
	}
}

// Every file at the root says what it is under, in the short form of ISO/IEC
// 5962:2021 (SPDX), but for the licence itself and the list of sums that the go
// command keeps.
func TestRootFilesNameTheLicence(t *testing.T) {
	list, err := os.ReadDir(Root(t))
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, e := range list {
		switch name := e.Name(); name {
		case "README.md", "CHANGELOG.md", "CONTRIBUTING.md", "SECURITY.md", "Makefile", "go.mod", ".gitignore", ".gitattributes":
			b, err := os.ReadFile(filepath.Join(Root(t), name))
			if err != nil {
				t.Fatal(err)
			}
			first, _, _ := strings.Cut(string(b), "\n")
			if seen++; !strings.Contains(first, "SPDX-License-Identifier: MIT") {
				t.Errorf("%s begins with %q, which names no licence", name, first)
			}
		case "LICENSE", "go.sum", ".git":
		default:
			// What a build leaves there isn't ours to look at; see .gitignore.
			if !e.IsDir() && name != "lapwright" && !strings.HasSuffix(name, ".test") && !strings.HasSuffix(name, ".prof") {
				t.Errorf("%s is a new file at the root: let it name its licence, and list it here", name)
			}
		}
	}
	if seen != 8 {
		t.Errorf("%d files at the root were looked at", seen)
	}
}
