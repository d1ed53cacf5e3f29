//go:build !js

package main

import (
	"fmt"
	"os"
)

// Run elsewhere than in a browser it only says what it is for.
func main() {
	fmt.Fprintln(os.Stderr, "lapwright-page runs in a lesson's page: build it with `go run ./internal/lesson/module/build`")
	os.Exit(2)
}
