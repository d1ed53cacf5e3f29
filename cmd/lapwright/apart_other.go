//go:build !unix

package main

import "os/exec"

// setApart does nothing: what is asked to open the browser here ends at once.
func setApart(*exec.Cmd) {}
