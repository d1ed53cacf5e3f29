package serve

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"lapwright/internal/console"
)

// OpenBrowser asks the desktop to show a page. Where there is no desktop the
// printed address must do.
func OpenBrowser(con *console.Console, address string) {
	var cmd *exec.Cmd
	switch runtime.GOOS {
	case "darwin":
		cmd = exec.Command("open", address)
	case "windows":
		cmd = exec.Command("rundll32", "url.dll,FileProtocolHandler", address)
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return
		}
		cmd = exec.Command("xdg-open", address)
	}
	// The browser may outlive us, and Ctrl-C here is not meant for it.
	setApart(cmd)
	sorry := func(err error) {
		fmt.Fprintf(con.Stderr, "lapwright: no browser could be opened (%s: %v); open the address above in one\n", filepath.Base(cmd.Path), err)
	}
	if err := cmd.Start(); err != nil {
		sorry(errors.Unwrap(err))
		return
	}
	go func() {
		if err := cmd.Wait(); err != nil {
			sorry(err)
		}
	}()
}
