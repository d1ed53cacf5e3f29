//go:build !unix

package serve

import "os/exec"

// setApart does nothing: what is asked to open the browser here ends at once.
func setApart(*exec.Cmd) {}
