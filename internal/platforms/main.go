// SPDX-License-Identifier: MIT

// Command platforms checks that all packages of the module, and their tests, have
// the right types where this machine is not: on other systems and processors.
//
//	go run ./internal/platforms linux/386 windows/amd64
//
// It reads every library from its source instead of compiling it, which takes a
// tenth of the processor time of go vet with nothing compiled yet.
package main

import (
	"fmt"
	"os"
	"strings"

	"golang.org/x/tools/go/packages"
)

func main() {
	if len(os.Args) < 2 {
		fmt.Fprintln(os.Stderr, "platforms: none named; for example: go run ./internal/platforms linux/386 windows/amd64")
		os.Exit(2)
	}
	wrong := false
	for _, platform := range os.Args[1:] {
		fmt.Println("types for", platform)
		faults, err := check(".", platform)
		if err != nil {
			fmt.Fprintln(os.Stderr, "platforms:", err)
			os.Exit(2)
		}
		for _, f := range faults {
			fmt.Fprintln(os.Stderr, f)
			wrong = true
		}
	}
	if wrong {
		os.Exit(1)
	}
}

// check returns what is wrong with the packages of the module in a folder, their
// tests and the libraries that they use, on a platform as Go names it: system/processor,
// without cgo. The error says why they could not be read at all.
func check(dir, platform string) ([]packages.Error, error) {
	system, processor, two := strings.Cut(platform, "/")
	if !two {
		return nil, fmt.Errorf("%q is no platform: want system/processor, as in linux/386", platform)
	}
	found, err := packages.Load(&packages.Config{
		// Syntax of the dependencies too: without it the go command would compile them.
		Mode: packages.NeedName | packages.NeedFiles | packages.NeedCompiledGoFiles | packages.NeedImports | packages.NeedDeps |
			packages.NeedTypes | packages.NeedSyntax | packages.NeedTypesInfo | packages.NeedTypesSizes,
		Dir: dir, Tests: true,
		Env: append(os.Environ(), "GOOS="+system, "GOARCH="+processor, "CGO_ENABLED=0"),
	}, "./...")
	if err != nil {
		return nil, fmt.Errorf("%s: %w", platform, err)
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s: no packages in %s", platform, dir)
	}
	var faults []packages.Error
	told := map[packages.Error]bool{} // a package is read with and without its tests
	packages.Visit(found, nil, func(p *packages.Package) {
		for _, f := range p.Errors {
			if !told[f] {
				told[f] = true
				faults = append(faults, f)
			}
		}
	})
	return faults, nil
}
