package web

import (
	"context"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"lapwright/internal/studio"
)

// Passwords are kept as PBKDF2-HMAC-SHA-256 with the rounds that OWASP's
// Password Storage Cheat Sheet recommends (2023: 600,000).
const (
	passwordRounds  = 600_000
	passwordSetting = "password"
	// LeastPassword is the shortest password that is taken, in bytes.
	LeastPassword = 10
	mostPassword  = 1000

	sessionLife   = 12 * time.Hour
	sessionCookie = "lapwright"
	mostSessions  = 10_000

	// Guessing: this many tries from one address, and from all together, in
	// guessWindow.
	triesEach   = 5
	triesAll    = 100
	guessWindow = time.Minute
)

// SetPassword keeps a password for use from other addresses.
func SetPassword(ctx context.Context, st *studio.Studio, password string) error {
	if len(password) < LeastPassword || len(password) > mostPassword {
		return fmt.Errorf("the password needs at least %d characters", LeastPassword)
	}
	var salt [16]byte
	rand.Read(salt[:])
	key, err := pbkdf2.Key(sha256.New, password, salt[:], passwordRounds, 32)
	if err != nil {
		return err
	}
	enc := base64.RawStdEncoding
	return st.PutSetting(ctx, passwordSetting, fmt.Sprintf("pbkdf2-sha256$%d$%s$%s", passwordRounds, enc.EncodeToString(salt[:]), enc.EncodeToString(key)))
}

// HasPassword says whether a password was set.
func HasPassword(ctx context.Context, st *studio.Studio) (bool, error) {
	v, err := st.Setting(ctx, passwordSetting)
	return v != "", err
}

func checkPassword(ctx context.Context, st *studio.Studio, password string) (bool, error) {
	kept, err := st.Setting(ctx, passwordSetting)
	if err != nil {
		return false, err
	}
	parts := strings.Split(kept, "$")
	var rounds int
	if len(parts) != 4 || parts[0] != "pbkdf2-sha256" {
		return false, errors.New("no password is set")
	}
	if _, err := fmt.Sscanf(parts[1], "%d", &rounds); err != nil {
		return false, errors.New("the kept password is damaged; set it again")
	}
	enc := base64.RawStdEncoding
	salt, err1 := enc.DecodeString(parts[2])
	want, err2 := enc.DecodeString(parts[3])
	if err := errors.Join(err1, err2); err != nil || len(password) > mostPassword {
		return false, err
	}
	got, err := pbkdf2.Key(sha256.New, password, salt, rounds, len(want))
	return err == nil && subtle.ConstantTimeCompare(got, want) == 1, err
}

// sessions are who has signed in, by the hash of their token, and who has
// tried to.
type sessions struct {
	mu    sync.Mutex
	ends  map[[32]byte]time.Time
	tries map[string][]time.Time
	all   []time.Time
	now   func() time.Time
}

func newSessions(now func() time.Time) *sessions {
	return &sessions{ends: map[[32]byte]time.Time{}, tries: map[string][]time.Time{}, now: now}
}

// begin makes a new session: its token is never one that a visitor brought.
func (s *sessions) begin() string {
	var b [32]byte
	rand.Read(b[:])
	token := base64.RawURLEncoding.EncodeToString(b[:])
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	for k, end := range s.ends {
		if now.After(end) || len(s.ends) >= mostSessions {
			delete(s.ends, k)
		}
	}
	s.ends[sha256.Sum256([]byte(token))] = now.Add(sessionLife)
	return token
}

func (s *sessions) knows(token string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	end, ok := s.ends[sha256.Sum256([]byte(token))]
	return ok && s.now().Before(end)
}

func (s *sessions) end(token string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.ends, sha256.Sum256([]byte(token)))
}

// mayTry counts one try of a password and says whether it may be looked at.
func (s *sessions) mayTry(from string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	fresh := func(list []time.Time) []time.Time {
		for len(list) > 0 && now.Sub(list[0]) >= guessWindow {
			list = list[1:]
		}
		return list
	}
	for k, list := range s.tries {
		if list = fresh(list); len(list) == 0 {
			delete(s.tries, k)
		} else {
			s.tries[k] = list
		}
	}
	s.all = fresh(s.all)
	if len(s.tries[from]) >= triesEach || len(s.all) >= triesAll {
		return false
	}
	s.tries[from] = append(s.tries[from], now)
	s.all = append(s.all, now)
	return true
}

// signedIn wraps the site so that visitors must have signed in, when the site
// is served beyond this machine.
func (s *Site) signedIn(next http.Handler) http.Handler {
	if !s.options.Password {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		open := r.URL.Path == "/signin" || strings.HasPrefix(r.URL.Path, "/assets/")
		if c, err := r.Cookie(s.cookieName()); !open && (err != nil || !s.sessions.knows(c.Value)) {
			if r.Method == http.MethodGet && wantsPage(r) {
				http.Redirect(w, r, "/signin", http.StatusSeeOther)
				return
			}
			s.fail(w, r, http.StatusUnauthorized, "Sign in first; the page can be opened again in another tab to do so.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// cookieName binds the cookie to this host when the line is encrypted.
func (s *Site) cookieName() string {
	if s.options.Encrypted {
		return "__Host-" + sessionCookie
	}
	return sessionCookie
}

func (s *Site) cookie(value string, life time.Duration) *http.Cookie {
	return &http.Cookie{
		Name: s.cookieName(), Value: value, Path: "/", MaxAge: int(life / time.Second),
		HttpOnly: true, Secure: s.options.Encrypted, SameSite: http.SameSiteStrictMode,
	}
}

func (s *Site) signInPage(w http.ResponseWriter, r *http.Request) {
	s.page(w, r, http.StatusOK, "signin", "Sign in", nil)
}

func (s *Site) signIn(w http.ResponseWriter, r *http.Request) error {
	from, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		from = r.RemoteAddr
	}
	if !s.sessions.mayTry(from) {
		w.Header().Set("Retry-After", "60")
		s.page(w, r, http.StatusTooManyRequests, "signin", "Sign in", "That was several wrong passwords in a short time. Wait a minute and try again.")
		return nil
	}
	ok, err := checkPassword(r.Context(), s.studio, r.FormValue("password"))
	if err != nil {
		return err
	}
	if !ok {
		s.page(w, r, http.StatusForbidden, "signin", "Sign in", "That is not the password.")
		return nil
	}
	http.SetCookie(w, s.cookie(s.sessions.begin(), sessionLife))
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

func (s *Site) signOut(w http.ResponseWriter, r *http.Request) {
	if c, err := r.Cookie(s.cookieName()); err == nil {
		s.sessions.end(c.Value)
	}
	http.SetCookie(w, s.cookie("", -time.Second))
	http.Redirect(w, r, "/signin", http.StatusSeeOther)
}
