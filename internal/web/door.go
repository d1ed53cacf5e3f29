package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"lapwright/internal/studio"
)

// door is where visitors sign in, when the site is served beyond this machine.
type door struct {
	pages     *pages
	studio    *studio.Studio
	sessions  *sessions
	queue     *queue // of passwords to be looked at
	away      bool   // visitors must sign in
	encrypted bool
}

// wrap lets a request through when its visitor has signed in or need not.
func (d *door) wrap(next http.Handler) http.Handler {
	if !d.away {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		open := r.URL.Path == "/signin" || strings.HasPrefix(r.URL.Path, "/assets/")
		if signed, _ := r.Context().Value(signedKey).(bool); !open && !signed {
			if r.Method == http.MethodGet && wantsPage(r) {
				http.Redirect(w, r, "/signin", http.StatusSeeOther)
				return
			}
			d.pages.fail(w, r, http.StatusUnauthorized, "Sign in first; the page can be opened again in another tab to do so.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// session returns the token of a request's session, "" when it has none that goes
// on.
func (d *door) session(r *http.Request) string {
	if !d.away {
		return ""
	}
	c, err := r.Cookie(d.cookieName())
	if err != nil || !d.sessions.knows(r.Context(), c.Value) {
		return ""
	}
	return c.Value
}

// cookieName binds the cookie to this host when the line is encrypted.
func (d *door) cookieName() string {
	if d.encrypted {
		return "__Host-" + sessionCookie
	}
	return sessionCookie
}

func (d *door) cookie(value string, life time.Duration) *http.Cookie {
	return &http.Cookie{
		Name: d.cookieName(), Value: value, Path: "/", MaxAge: int(life / time.Second),
		HttpOnly: true, Secure: d.encrypted, SameSite: http.SameSiteStrictMode,
	}
}

// signInWith is the page that asks for the password, with why it is asked again.
func signInWith(why string) page { return page{"signin", "Sign in", why} }

func (d *door) signInPage(*http.Request) (page, error) { return signInWith(""), nil }

// signIn looks at a password.
func (d *door) signIn(w http.ResponseWriter, r *http.Request) error {
	from := addressOf(r)
	looked, err := d.look(r.Context(), from, r.FormValue("password"))
	switch {
	case err != nil:
		return err
	case !looked.may:
		w.Header().Set("Retry-After", "60")
		d.pages.show(w, r, http.StatusTooManyRequests, signInWith("That was several wrong passwords in a short time. Wait a minute and try again."))
	case !looked.right:
		d.pages.show(w, r, http.StatusForbidden, signInWith("That is not the password."))
	default:
		http.SetCookie(w, d.cookie(d.sessions.begin(from, looked.with), sessionLife))
		http.Redirect(w, r, "/", http.StatusSeeOther)
	}
	return nil
}

// look is what came of looking at a password.
type look struct {
	may   bool // it was looked at: there were not too many wrong ones before
	right bool
	with  passwordDigest // of the kept password
}

// look looks at a password from an address. Those from one address are looked at
// one after another, so that many at once are no way around the limit, and a
// class that signs in together only waits.
func (d *door) look(ctx context.Context, from, password string) (look, error) {
	ctx = context.WithValue(ctx, visitorKey, from)
	return queued(ctx, d.queue, func(ctx context.Context) (l look, err error) {
		if l.may = d.sessions.mayTry(from); !l.may {
			return l, nil
		}
		if l.right, l.with, err = checkPassword(ctx, d.studio, password); err == nil && !l.right {
			d.sessions.failed(from)
		}
		return l, err
	})
}

// signOut ends a visitor's session.
func (d *door) signOut(w http.ResponseWriter, r *http.Request) error {
	if c, err := r.Cookie(d.cookieName()); err == nil {
		d.sessions.end(c.Value)
	}
	http.SetCookie(w, d.cookie("", -time.Second))
	http.Redirect(w, r, "/signin", http.StatusSeeOther)
	return nil
}
