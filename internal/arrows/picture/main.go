// Command picture draws the rooms of the program and what imports what into
// docs/rooms.svg. It runs at the root of the repository.
package main

import (
	"fmt"
	"os"

	"lapwright/internal/arrows"
	"lapwright/internal/whole"
)

func main() {
	svg, err := arrows.Picture(".")
	if err == nil {
		err = whole.WriteFile(arrows.PicturePath, svg)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "picture:", err)
		os.Exit(1)
	}
}
