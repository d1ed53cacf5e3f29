//go:build unix

package main

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"lapwright/internal/console"
)

// served is a running lapwright.
type served struct {
	t       *testing.T
	cmd     *exec.Cmd
	address string // the first that it printed
	mu      sync.Mutex
	said    strings.Builder // on standard output and error
	done    chan struct{}
	err     error
}

// startServing runs the real program in a process group of its own, as a shell
// does, until it has printed an address.
func startServing(t *testing.T, env []string, args ...string) *served {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	s := &served{t: t, done: make(chan struct{})}
	s.cmd = &exec.Cmd{Path: self, Args: append([]string{"lapwright", "serve"}, args...), Env: append(os.Environ(), env...), SysProcAttr: &syscall.SysProcAttr{Setpgid: true}}
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	s.cmd.Stderr = s
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	address := make(chan string, 1)
	go func() {
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			fmt.Fprintln(s, lines.Text())
			if _, a, ok := strings.Cut(lines.Text(), "Lapwright is at "); ok {
				address <- a
			}
		}
		s.err = s.cmd.Wait()
		close(s.done)
	}()
	t.Cleanup(func() { s.cmd.Process.Kill(); <-s.done })
	select {
	case s.address = <-address:
	case <-s.done:
	case <-time.After(time.Minute):
		t.Fatalf("no address was printed: %s", s.text())
	}
	return s
}

// Write takes what the program says.
func (s *served) Write(b []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.said.Write(b)
}

func (s *served) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.said.String()
}

// ends waits for the program's end and checks its exit code.
func (s *served) ends(code int) {
	s.t.Helper()
	select {
	case <-s.done:
	case <-time.After(time.Minute):
		s.t.Fatalf("it did not end: %s", s.text())
	}
	if got := s.cmd.ProcessState.ExitCode(); got != code {
		s.t.Errorf("exit code %d, want %d: %s", got, code, s.text())
	}
}

// TestAnswersArriveAfterAnInterrupt downloads a large file slowly and ends the
// program meanwhile: the file arrives whole.
func TestAnswersArriveAfterAnInterrupt(t *testing.T) {
	for _, how := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		s := startServing(t, nil, "--listen", "127.0.0.1:0", "--no-open", "--data", t.TempDir())
		res, err := http.PostForm(s.address+"tunes/begin", url.Values{"title": {"Long"}, "key": {"G"}, "meter": {"4/4"}, "rig": {"lap6-c6"}})
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		id := strings.TrimPrefix(res.Request.URL.Path, "/tunes/")
		// What does not pack well, and more than the machine keeps on the way.
		rng := rand.New(rand.NewPCG(3, 3))
		text := make([]byte, 3<<20)
		for revision := 1; revision <= 8; revision++ {
			for i := range text {
				text[i] = byte(' ' + rng.IntN(95))
			}
			b, err := json.Marshal(map[string]any{"base": revision, "body": string(text)})
			if err != nil {
				t.Fatal(err)
			}
			res, err := http.Post(s.address+"items/"+id+"/save", "application/json", bytes.NewReader(b))
			if err != nil || res.StatusCode != http.StatusOK {
				t.Fatalf("%v, %v", res, err)
			}
			res.Body.Close()
		}
		if res, err = http.Get(s.address + "studio/export"); err != nil {
			t.Fatal(err)
		}
		var got bytes.Buffer
		io.CopyN(&got, res.Body, 1<<16)
		s.cmd.Process.Signal(how)
		time.Sleep(300 * time.Millisecond)
		_, err = io.Copy(&got, res.Body)
		res.Body.Close()
		if err != nil {
			t.Errorf("%v: after %d bytes: %v", how, got.Len(), err)
		} else if _, err := zip.NewReader(bytes.NewReader(got.Bytes()), int64(got.Len())); err != nil {
			t.Errorf("%v: %d bytes came, and they are broken off: %v", how, got.Len(), err)
		}
		s.ends(0)
	}
}

// opener puts a program into a folder that is asked to open the browser.
func opener(t *testing.T, script string) []string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "xdg-open"), []byte("#!/bin/sh\n"+script), 0o700); err != nil {
		t.Fatal(err)
	}
	return []string{"PATH=" + dir + ":" + os.Getenv("PATH"), "DISPLAY=:9", "OPENED=" + filepath.Join(dir, "opened")}
}

// TestInterruptLeavesTheBrowser: Ctrl-C in the terminal goes to the whole group
// of processes, and must not reach the browser.
func TestInterruptLeavesTheBrowser(t *testing.T) {
	env := opener(t, "echo $$ $1 >$OPENED.new; mv $OPENED.new $OPENED; exec sleep 60\n")
	s := startServing(t, env, "--listen", "127.0.0.1:0", "--data", t.TempDir())
	file := strings.TrimPrefix(env[2], "OPENED=")
	var pid int
	var address string
	for end := time.Now().Add(2 * time.Minute); pid == 0; time.Sleep(5 * time.Millisecond) {
		if b, err := os.ReadFile(file); err == nil {
			fmt.Sscan(string(b), &pid, &address)
		} else if time.Now().After(end) {
			t.Fatalf("no browser was opened: %s", s.text())
		}
	}
	defer syscall.Kill(pid, syscall.SIGKILL)
	if address != s.address {
		t.Errorf("%q was opened, and %q printed", address, s.address)
	}
	if err := syscall.Kill(-s.cmd.Process.Pid, syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	s.ends(0)
	if err := syscall.Kill(pid, 0); err != nil {
		t.Errorf("the browser is gone: %v", err)
	}
}

// TestNoBrowserIsSaid: an opener that fails, and none at all.
func TestNoBrowserIsSaid(t *testing.T) {
	for name, env := range map[string][]string{"failing": opener(t, "exit 3\n"), "missing": {"PATH=/nowhere", "DISPLAY=:9"}} {
		s := startServing(t, env, "--listen", "127.0.0.1:0", "--data", t.TempDir())
		for end := time.Now().Add(2 * time.Minute); !strings.Contains(s.text(), "no browser could be opened (xdg-open"); time.Sleep(5 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("%s: it said only %s", name, s.text())
			}
		}
	}
}

// TestPrintedAddressOpens: the address that is printed for all of a machine's
// addresses is one that a browser can open.
func TestPrintedAddressOpens(t *testing.T) {
	dir := t.TempDir()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	set := exec.Cmd{Path: self, Args: []string{"lapwright", "serve", "--set-password", "--data", dir}, Stdin: strings.NewReader("a long enough one\n")}
	if out, err := set.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, listen := range []string{"0.0.0.0:0", ":0"} {
		s := startServing(t, nil, "--listen", listen, "--no-open", "--data", dir)
		u, err := url.Parse(s.address)
		if err != nil || u.Hostname() == "0.0.0.0" || u.Hostname() == "::" {
			t.Errorf("for %s it printed %q", listen, s.address)
		}
		for _, line := range strings.Split(s.text(), "\n") {
			_, address, ok := strings.Cut(line, " is at ")
			if !ok {
				continue
			}
			res, err := http.Get(address + "signin")
			if err != nil || res.StatusCode != http.StatusOK {
				t.Errorf("for %s the address %s gives %v, %v", listen, address, res, err)
				continue
			}
			res.Body.Close()
		}
		s.cmd.Process.Signal(syscall.SIGTERM)
		s.ends(0)
	}
}

// TestWrongCertificateIsSaidFirst: before any address is printed.
func TestWrongCertificateIsSaidFirst(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "text.pem")
	if err := os.WriteFile(text, []byte("no certificate"), 0o600); err != nil {
		t.Fatal(err)
	}
	for cert, want := range map[string]string{text: "is no certificate", filepath.Join(dir, "missing.pem"): "there is no such file"} {
		s := startServing(t, nil, "--listen", "127.0.0.1:0", "--no-open", "--data", filepath.Join(dir, "data"), "--cert", cert, "--cert-key", text)
		if s.address != "" || !strings.Contains(s.text(), want) || !strings.Contains(s.text(), "--cert") {
			t.Errorf("it said %q, want %q and no address", s.text(), want)
		}
		s.ends(console.ExitInput)
	}
}
