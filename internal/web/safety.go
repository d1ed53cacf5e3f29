package web

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// The most that a request may carry, in bytes.
const (
	maxForm    = 8 << 20   // a tune, a rig, a save
	maxArchive = 512 << 20 // a whole studio
	maxTake    = 64 << 20  // a recording
)

type contextKey int

const (
	nonceKey   contextKey = iota
	visitorKey            // who asks
	signedKey             // that they have signed in
)

// nonce returns the mark that lets the editor's own style element in.
func nonce(ctx context.Context) string {
	n, _ := ctx.Value(nonceKey).(string)
	return n
}

// guard lets in only requests that name a host we serve and come from our own
// pages.
type guard struct {
	names []string // that are served, besides addresses
	away  bool     // served beyond this machine
}

// policy is the Content-Security-Policy of our pages; the first %s adds to the sources of scripts, the second is the
// mark that lets the editor's own style element in.
const policy = "default-src 'none'; script-src 'self'%s; style-src 'self' 'nonce-%s'; img-src 'self' data:; font-src 'self'; worker-src blob:; " +
	"connect-src 'self'; media-src 'self' blob:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// runsProgram lets a page run WebAssembly, and no text as script (W3C, Content Security Policy Level 3, section 4.4).
const runsProgram = " 'wasm-unsafe-eval'"

// wrap lets a request through when it may come in: known hosts only, same-origin
// changes only, and headers that keep a page from being anything but our own.
func (g guard) wrap(p *pages, next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p.fail(w, r, http.StatusForbidden, "This request came from another site and was not carried out.")
	}))
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mark := newNonce()
		setGuards(w.Header(), mark)
		if !g.servesHost(r.Host) {
			http.Error(w, "This address is not served here. Open the address that lapwright printed when it started.", http.StatusMisdirectedRequest)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			r.Body = http.MaxBytesReader(w, r.Body, limitOf(r.URL.Path))
		}
		inner.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), nonceKey, mark)))
	})
}

func newNonce() string {
	var b [16]byte
	rand.Read(b[:])
	return base64.RawStdEncoding.EncodeToString(b[:])
}

func setGuards(h http.Header, mark string) {
	h.Set("Content-Security-Policy", fmt.Sprintf(policy, "", mark))
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), payment=()")
}

// limitOf returns the most bytes that a request to an address may carry.
func limitOf(path string) int64 {
	if strings.HasPrefix(path, "/studio/import") {
		return maxArchive
	}
	if path == "/takes" {
		return maxTake
	}
	return maxForm
}

// servesHost reports whether a Host header names us. A page elsewhere that makes
// its own name point here (DNS rebinding) still sends that name, so only
// addresses and the names we were told are let in: on a loopback address only
// loopback ones.
func (g guard) servesHost(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if name == "localhost" {
		return true
	}
	for _, n := range g.names {
		if name == strings.ToLower(n) {
			return true
		}
	}
	addr, err := netip.ParseAddr(name)
	if err != nil {
		return false
	}
	return addr.IsLoopback() || g.away
}
