// Command letters makes the tables of widths and outlines that sheets are laid
// out with (third_party/letters/letters.bin) from the font files beside them, and
// the table of composed letters (composed.bin) from golang.org/x/text:
//
//	go run ./internal/letters          # write
//	go run ./internal/letters -check   # fail when they are stale
package main
