package web

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// The most that a request may carry, in bytes.
const (
	maxForm    = 8 << 20   // a tune, a rig, a save
	maxArchive = 512 << 20 // a whole studio
)

type contextKey int

const (
	nonceKey   contextKey = iota
	visitorKey            // who asks
	signedKey             // that they have signed in
)

// nonce gives the mark that lets the editor's own style element in.
func nonce(ctx context.Context) string {
	n, _ := ctx.Value(nonceKey).(string)
	return n
}

// guarded wraps the site: known hosts only, same-origin changes only, and
// headers that keep a page from being anything but our own.
func (s *Site) guarded(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, http.StatusForbidden, "This request came from another site and was not carried out.")
	}))
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var b [16]byte
		rand.Read(b[:])
		mark := base64.RawStdEncoding.EncodeToString(b[:])
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-"+mark+"'; img-src 'self' data:; font-src 'self'; worker-src blob:; "+
			"connect-src 'self'; media-src 'self' blob:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), payment=()")
		if !s.servesHost(r.Host) {
			http.Error(w, "This address is not served here. Open the address that lapwright printed when it started.", http.StatusMisdirectedRequest)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			most := int64(maxForm)
			if strings.HasPrefix(r.URL.Path, "/studio/import") {
				most = maxArchive
			}
			r.Body = http.MaxBytesReader(w, r.Body, most)
		}
		inner.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), nonceKey, mark)))
	})
}

// servesHost reports whether a Host header names us. A page elsewhere that makes
// its own name point here (DNS rebinding) still sends that name, so only
// addresses and the names we were told are let in: on a loopback address only
// loopback ones.
func (s *Site) servesHost(host string) bool {
	name, _, err := net.SplitHostPort(host)
	if err != nil {
		name = host
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if name == "localhost" {
		return true
	}
	for _, n := range s.options.Names {
		if name == strings.ToLower(n) {
			return true
		}
	}
	addr, err := netip.ParseAddr(name)
	if err != nil {
		return false
	}
	return addr.IsLoopback() || s.options.Password
}
