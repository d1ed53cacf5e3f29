package main

import (
	_ "embed"
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// version is what is released next, or was released last.
const version = "0.2.0"

// archived is the revision that a source archive was made from: git writes it
// into the file when it makes one (export-subst in .gitattributes).
//
//go:embed revision.txt
var archived string

// versionLine is what --version prints: the version, the revision it was built
// from and the Go version that built it.
func versionLine() string {
	info, _ := debug.ReadBuildInfo()
	return fmt.Sprintf("lapwright %s (%s, %s)", version, revision(info, archived), runtime.Version())
}

// revision returns the first twelve digits of the revision, as Go's build
// information has it or else the source archive, and says when files differed.
func revision(info *debug.BuildInfo, archived string) string {
	hash, changed := "", false
	if info != nil {
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				hash = s.Value
			case "vcs.modified":
				changed = s.Value == "true"
			}
		}
	}
	if hash == "" {
		if hash = strings.TrimSpace(archived); strings.HasPrefix(hash, "$") {
			return "unknown revision"
		}
	}
	hash = hash[:min(len(hash), 12)]
	if changed {
		hash += " with changes"
	}
	return hash
}
