# SPDX-License-Identifier: MIT
# What to build and check. "make test" is what must pass before a change lands.

# The core: no file, network, clock or goroutine of its own, so it also
# compiles to WebAssembly. The order of rooms is in internal/arrows.
CORE = $(shell go list ./... | grep -vE '^lapwright/(internal|cmd|third_party)/')

.PHONY: build quick test site full sweeps mutants narrow arm test-tools check platforms race wasm assets assets-check notices dist bench fuzz clean

build:
	go build -o lapwright ./cmd/lapwright

# Programs and libraries that only the tests need.
test-tools:
	.ci/tools

test: test-tools check wasm assets-check
	go test -vet=off -timeout 40m $$(go list ./... | grep -v '/internal/web$$')
	$(MAKE) site race

# The workbench and a lesson's pages, walked in browsers, with nothing beside them. A
# walk that fails is printed and walked once more, since a browser can be late where the
# machine is busy: it fails that is late twice, and so do more than three.
site:
	go run gotest.tools/gotestsum@v1.13.0 --format standard-quiet --rerun-fails=1 --rerun-fails-max-failures=3 --packages ./internal/web -- -vet=off -timeout 40m

# What a small change can break, in under two minutes: no browser, no outside
# witness, no other platform, and a fifth of the random cases.
quick:
	@bad=$$(gofmt -l $$(git ls-files "*.go")); if [ -n "$$bad" ]; then echo "not formatted: $$bad" >&2; exit 1; fi
	go vet ./...
	go run ./internal/lesson/module/build -quick
	go test -short -vet=off -timeout 5m $$(go list ./... | grep -vE '^lapwright/internal/(web|refcheck|outside|dist)(/|$$)')

# Everything, with the tests and cases that make test leaves out, and the sweeps that it
# only samples: over an hour and a half.
full: export LAPWRIGHT_TEST_ALL = 1
full: export UNRACED = none
full: test sweeps narrow arm fuzz dist

# Property tests with 2,000 random cases each, in every room that has some.
SWEEP ?= 2000
sweeps:
	go test -vet=off -timeout 60m $$(git grep -l '"pgregory.net/rapid"' -- '*_test.go' | xargs -n1 dirname | sort -u | sed 's#^#./#') -rapid.checks=$(SWEEP)

# How well each core room's own tests hold its code: one operator is changed at
# a time, and nine changes in ten must be caught. Hours for all rooms; ROOM=wire
# takes one. Part of no other target.
mutants:
	.ci/mutants $(or $(ROOM),$(filter-out %test,$(patsubst lapwright/%,%,$(CORE))))

# The core's tests on 32 bits, which this processor runs too.
narrow:
	GOARCH=386 CGO_ENABLED=0 go test -short -vet=off -timeout 20m $(CORE)

# The core's tests, its goldens among them, on 64-bit ARM, by emulation (Debian:
# qemu-user): it joins multiplication and addition where this processor doesn't.
arm:
	@command -v qemu-aarch64 >/dev/null || { echo "qemu-aarch64 is missing: apt-get install qemu-user" >&2; exit 1; }
	GOARCH=arm64 CGO_ENABLED=0 go test -short -vet=off -timeout 60m -exec qemu-aarch64 $(CORE)

# Style and correctness without running anything.
check:
	@bad=$$(gofmt -l $$(git ls-files "*.go")); if [ -n "$$bad" ]; then echo "not formatted: $$bad" >&2; exit 1; fi
	go mod tidy -diff
	go run ./internal/notices/build -check
	go run ./internal/letters -check
	go vet ./...
	@$(MAKE) platforms
	go tool staticcheck ./...
	cd internal/web/src && npx --no-install tsc --noEmit
	go run ./internal/web/build -test

# Other machines: 32 bits, and the other systems that the program runs on; the
# tests as well.
platforms:
	go run ./internal/platforms linux/386 windows/amd64 darwin/arm64

# Trimmed as the page's program is, so that what both need is compiled once.
wasm:
	@test -n "$(CORE)" || { echo "no core rooms found" >&2; exit 1; }
	GOOS=js GOARCH=wasm go build -trimpath $(CORE) ./cmd/lapwright-page

# The rooms that run goroutines, under the race detector, but for the tests that take it
# longest: what runs at once in them does in others too. make full leaves none out.
UNRACED ?= ^Test(WhatExportWritesImportTakes|MovingGrowsWithWhatIsMoved|RefusedArchivesChangeNothing|Recordings|BackupBesideTheTune|WordsCannotBecomeMarkup|ALessonForAWebSpace|SheetsStandPlainOrPacked|CarriedSheetIsDrawnAgain|LongWordsHaveTheirOwnPages|Handout|PageCarriesTheLesson|LayoutsOfALesson|ScriptComesBeforeTheSounds|BackupThatCannotBe|HostedFiles|PageIsASCII|PageNamesPitchesAsPrinted|ZipHoldsTheSameFiles|PageNeedsNothingElse|ListsReadNoBodies|TitlesCannotInjectMarkup|ATakeAlongIsToldAgainstTheClick)$$
race:
	go test -vet=off -race -short -timeout 20m -skip '$(UNRACED)' ./internal/whole ./internal/lesson ./internal/studio ./internal/web

# The page's scripts and styles, bundled, and the core that the page runs,
# compiled: committed so that building the program needs nothing but Go.
assets: test-tools
	go run ./internal/letters
	go run ./internal/web/build
	go run ./internal/lesson/module/build
	$(MAKE) notices

assets-check:
	go run ./internal/web/build -check
	go run ./internal/lesson/module/build -check

# The licences of all that the program is made of, asked from the build.
notices:
	go run ./internal/notices/build

# What is handed out: programs, source archive, checksums, in dist/.
dist:
	go run ./internal/dist

bench:
	go test -run '^$$' -bench . -benchtime 3x -timeout 30m ./...

# FUZZTIME a target; every Fuzz function in the tree.
FUZZTIME ?= 30s
fuzz:
	@found=0; for p in $$(go list ./...); do \
	  for f in $$(go test -list '^Fuzz' $$p | grep '^Fuzz' || true); do \
	    found=1; echo "$$p $$f"; go test -run '^$$' -fuzz "^$$f$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 100x $$p || exit 1; \
	  done; done; test $$found = 1 || { echo "no fuzz targets found" >&2; exit 1; }

clean:
	rm -rf lapwright lesson dist
