package web

import (
	"context"
	"net"
	"net/http"
	"net/netip"
	"sync"
)

// maxAtOnce is how many requests of one visitor may be under way.
const maxAtOnce = 200

// visitorOf returns the visitor that work is done for, "" when it is for nobody.
func visitorOf(ctx context.Context) string {
	v, _ := ctx.Value(visitorKey).(string)
	return v
}

// crowd counts the requests under way by visitor.
type crowd struct {
	mu    sync.Mutex
	under map[string]int
}

func newCrowd() *crowd { return &crowd{under: map[string]int{}} }

// enter counts a request in; it reports false when the visitor has too many.
func (c *crowd) enter(visitor string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.under[visitor] >= maxAtOnce {
		return false
	}
	c.under[visitor]++
	return true
}

func (c *crowd) leave(visitor string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.under[visitor]--; c.under[visitor] == 0 {
		delete(c.under, visitor)
	}
}

// wrap lets a request through with its visitor named in its context, if the
// visitor has not too many under way: by session where visitors sign in,
// otherwise by address.
func (c *crowd) wrap(d *door, p *pages, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		visitor := addressOf(r)
		if token := d.session(r); token != "" {
			visitor = "session " + token
			r = r.WithContext(context.WithValue(r.Context(), signedKey, true))
		}
		if !c.enter(visitor) {
			p.trouble(w, r, errBusy)
			return
		}
		defer c.leave(visitor)
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), visitorKey, visitor)))
	})
}

// addressOf returns the address that a request comes from, as far as it tells
// one visitor from another: an IPv6 visitor commands a whole /64 (RFC 4291,
// section 2.5.1: the last 64 bits are the interface's to choose).
func addressOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	addr, err := netip.ParseAddr(host)
	if err != nil {
		return host
	}
	if addr = addr.Unmap().WithZone(""); addr.Is6() {
		if p, err := addr.Prefix(64); err == nil {
			return p.String()
		}
	}
	return addr.String()
}
