//go:build unix

package serve

import (
	"os/exec"
	"syscall"
)

// setApart gives a command a session of its own: signals from our terminal do
// not reach it.
func setApart(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true} }
