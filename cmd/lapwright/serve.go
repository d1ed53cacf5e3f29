package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"golang.org/x/term"

	"lapwright/internal/console"
	"lapwright/internal/serve"
	"lapwright/internal/studio"
	"lapwright/internal/web"
	"lapwright/internal/whole"
	"lapwright/internal/workbench"
)

// dataFlag is the folder that the studio is kept in.
type dataFlag struct {
	Data string `placeholder:"DIR" env:"LAPWRIGHT_DATA" help:"Folder that your work is kept in; otherwise the usual one for programs' data."`
}

func (f dataFlag) dir() (string, error) {
	if f.Data != "" {
		return f.Data, nil
	}
	if d := os.Getenv("XDG_DATA_HOME"); d != "" && filepath.IsAbs(d) {
		return filepath.Join(d, "lapwright"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", console.Usagef("no home folder is known; name one with --data")
	}
	switch runtime.GOOS {
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "Lapwright"), nil
	case "windows":
		if d := os.Getenv("LOCALAPPDATA"); d != "" {
			return filepath.Join(d, "Lapwright"), nil
		}
	}
	return filepath.Join(home, ".local", "share", "lapwright"), nil
}

func (f dataFlag) open(ctx context.Context) (*studio.Studio, error) {
	dir, err := f.dir()
	if err != nil {
		return nil, err
	}
	if err := whole.MakeFolder(dir); err != nil {
		return nil, err
	}
	return studio.Open(ctx, dir, time.Now)
}

// openKept opens a studio that must be there.
func (f dataFlag) openKept(ctx context.Context) (*studio.Studio, error) {
	dir, err := f.dir()
	if err != nil {
		return nil, err
	}
	if err := whole.MayBeFolder(dir); err != nil {
		return nil, err
	}
	return studio.OpenKept(ctx, dir, time.Now)
}

type serveCommand struct {
	dataFlag
	Listen      string   `default:"127.0.0.1:8417" placeholder:"ADDR" help:"Address and port. Beyond this machine a password must be set first."`
	NoOpen      bool     `help:"Do not open the browser."`
	Name        []string `placeholder:"HOST" help:"A further name that this machine is called by."`
	Cert        string   `placeholder:"FILE" help:"Certificate, to serve over TLS."`
	CertKey     string   `placeholder:"FILE" help:"The certificate's key."`
	SetPassword bool     `help:"Ask for the password that visitors from other machines need, keep it, and leave."`
}

// Help shows an example that runs.
func (serveCommand) Help() string {
	return `Examples:
  lapwright
  lapwright serve --data class/ --no-open
  lapwright serve --set-password
  lapwright serve --listen 0.0.0.0:8417`
}

// Run serves until it is interrupted.
func (c *serveCommand) Run(con *console.Console) error {
	host, _, err := net.SplitHostPort(c.Listen)
	if err != nil {
		return console.Usagef("--listen %q is no address with a port, such as 127.0.0.1:8417", c.Listen)
	}
	encryption, err := c.encryption()
	if err != nil {
		return err
	}
	claim, err := c.lockStudio()
	if err != nil {
		return err
	}
	if claim != nil {
		defer claim.Free()
	}
	st, err := c.open(con.Ctx)
	if err != nil {
		return err
	}
	defer st.Close()
	if c.SetPassword {
		return setPassword(con, st)
	}
	away := !serve.Loopback(host)
	if away {
		has, err := web.HasPassword(con.Ctx, st)
		if err != nil {
			return err
		}
		if !has {
			return console.Usagef("%s can be reached from other machines, so a password must be set first: lapwright serve --set-password", c.Listen)
		}
	}
	if err := workbench.Furnish(con.Ctx, st); err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(con.Stderr, nil))
	site, err := web.New(con.Ctx, st, web.Options{Names: c.Name, Password: away, Encrypted: encryption != nil, Log: log})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return serve.CannotListen(c.Listen, err)
	}
	con.EndTidily()
	go keepCopies(con.Ctx, st, log)
	address := c.printAddresses(con, l.Addr(), away, st.Dir())
	if err := claim.Note(address); err != nil {
		return err
	}
	if !c.NoOpen {
		serve.OpenBrowser(con, address)
	}
	server := &http.Server{
		Handler:           site.Handler(), // it sees to it that no line stands still
		ReadHeaderTimeout: 10 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		TLSConfig:         encryption,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	return serve.Until(con, server, l)
}

// lockStudio takes the folder for this process alone, when it is to be served.
func (c *serveCommand) lockStudio() (*whole.Lock, error) {
	if c.SetPassword {
		return nil, nil // a studio that is being served takes a password too
	}
	dir, err := c.dir()
	if err != nil {
		return nil, err
	}
	return studio.Claim(dir)
}

// encryption reads the certificate, if one is named.
func (c *serveCommand) encryption() (*tls.Config, error) {
	switch {
	case (c.Cert == "") != (c.CertKey == ""):
		return nil, console.Usagef("--cert and --cert-key go together")
	case c.Cert == "":
		return nil, nil
	}
	for flag, name := range map[string]string{"--cert": c.Cert, "--cert-key": c.CertKey} {
		if f, err := os.Open(name); err != nil {
			return nil, console.Usagef("%s: %s", flag, unreadable(name, err))
		} else {
			f.Close()
		}
	}
	pair, err := tls.LoadX509KeyPair(c.Cert, c.CertKey)
	if err != nil {
		return nil, console.Usagef("--cert: %q with the key %q is no certificate that can be served with: %s", c.Cert, c.CertKey, strings.TrimPrefix(err.Error(), "tls: "))
	}
	return &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{pair}}, nil
}

// printAddresses prints the addresses that can be opened and gives the first, which is
// this machine's.
func (c *serveCommand) printAddresses(con *console.Console, at net.Addr, away bool, dir string) string {
	scheme := "http"
	if c.Cert != "" {
		scheme = "https"
	}
	here, others := serve.Reachable(at)
	if len(c.Name) > 0 && len(others) > 0 {
		others = c.Name
	}
	_, port, _ := net.SplitHostPort(at.String())
	address := func(host string) string { return scheme + "://" + net.JoinHostPort(host, port) + "/" }
	con.Printf("Lapwright is at %s\n", address(here))
	for _, o := range others {
		con.Printf("From other machines it is at %s\n", address(o))
	}
	con.Printf("Your work is kept in %s. Stop with Ctrl-C.\n", dir)
	if away && c.Cert == "" {
		con.Printf("Passwords and work cross the network unencrypted; use --cert where others could listen in.\n")
	}
	return address(here)
}

// keepCopies copies the studio once a day while it is open.
func keepCopies(ctx context.Context, st *studio.Studio, log *slog.Logger) {
	for {
		if _, err := st.CopyDaily(ctx); err != nil && ctx.Err() == nil {
			log.Error("the nightly copy failed", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(time.Hour):
		}
	}
}

func setPassword(con *console.Console, st *studio.Studio) error {
	var password string
	fd := int(os.Stdin.Fd())
	if term.IsTerminal(fd) {
		fmt.Fprintf(con.Stderr, "Password for visitors from other machines (at least %d characters): ", web.MinPassword)
		b, err := term.ReadPassword(fd)
		fmt.Fprintln(con.Stderr)
		if err != nil {
			return err
		}
		password = string(b)
	} else {
		b, err := readInput("-")
		if err != nil {
			return err
		}
		password = strings.TrimRight(string(b), "\r\n")
	}
	if err := web.SetPassword(con.Ctx, st, password); err != nil {
		return console.Usage(err.Error())
	}
	con.Printf("The password is set.\n")
	return nil
}
