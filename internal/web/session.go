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
	"strconv"
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
	// MinPassword is the shortest password that is taken, in bytes.
	MinPassword = 10
	maxPassword = 1000

	sessionLife   = 12 * time.Hour
	sessionCookie = "lapwright"
	maxSessions   = 10_000

	// Guessing: this many wrong passwords from one address, and this many from
	// all addresses together from which nobody has signed in yet, in guessWindow.
	triesEach   = 5
	triesAll    = 100
	guessWindow = time.Minute

	// An address from which somebody has signed in has its own room for so long.
	acquaintance = 30 * 24 * time.Hour
	maxKnown     = 10_000
)

// SetPassword keeps a password for use from other addresses.
func SetPassword(ctx context.Context, st *studio.Studio, password string) error {
	if len(password) < MinPassword || len(password) > maxPassword {
		return fmt.Errorf("the password needs at least %d characters", MinPassword)
	}
	var salt [16]byte
	rand.Read(salt[:])
	key, err := pbkdf2.Key(sha256.New, password, salt[:], passwordRounds, 32)
	if err != nil {
		return err
	}
	enc := base64.RawStdEncoding
	return st.Settings.Put(ctx, passwordSetting, fmt.Sprintf("pbkdf2-sha256$%d$%s$%s", passwordRounds, enc.EncodeToString(salt[:]), enc.EncodeToString(key)))
}

// HasPassword reports whether a password was set.
func HasPassword(ctx context.Context, st *studio.Studio) (bool, error) {
	v, err := st.Settings.Get(ctx, passwordSetting)
	return v != "", err
}

// checkPassword reports whether a password is the kept one, and gives the mark
// of the kept one.
func checkPassword(ctx context.Context, st *studio.Studio, password string) (bool, passwordDigest, error) {
	kept, err := st.Settings.Get(ctx, passwordSetting)
	if err != nil {
		return false, passwordDigest{}, err
	}
	parts := strings.Split(kept, "$")
	if len(parts) != 4 || parts[0] != "pbkdf2-sha256" {
		return false, passwordDigest{}, errors.New("no password is set")
	}
	enc := base64.RawStdEncoding
	rounds, err0 := strconv.Atoi(parts[1])
	salt, err1 := enc.DecodeString(parts[2])
	want, err2 := enc.DecodeString(parts[3])
	if errors.Join(err0, err1, err2) != nil {
		return false, passwordDigest{}, errors.New("the kept password is damaged; set it again")
	}
	if len(password) > maxPassword {
		return false, passwordDigest{}, nil
	}
	got, err := pbkdf2.Key(sha256.New, password, salt, rounds, len(want))
	return err == nil && subtle.ConstantTimeCompare(got, want) == 1, digestOf(kept), err
}

// passwordDigest tells one kept password from another.
type passwordDigest [sha256.Size]byte

func digestOf(kept string) passwordDigest { return sha256.Sum256([]byte(kept)) }

// session is somebody who has signed in.
type session struct {
	ends     time.Time
	password passwordDigest // signed in with: with another one set, the session is over
}

// sessions are who has signed in, by the hash of their token, and who has
// failed to.
type sessions struct {
	// kept returns the password as it is kept now, whoever set it.
	kept func(context.Context) (string, error)
	now  func() time.Time

	mu       sync.Mutex
	live     map[[32]byte]session
	failures map[string][]time.Time // by address
	strange  []time.Time            // failures from addresses that nobody signed in from
	known    map[string]time.Time   // addresses that somebody signed in from, and when last
}

func newSessions(now func() time.Time, kept func(context.Context) (string, error)) *sessions {
	return &sessions{kept: kept, now: now, live: map[[32]byte]session{}, failures: map[string][]time.Time{}, known: map[string]time.Time{}}
}

// begin makes a new session: its token is never one that a visitor brought.
func (s *sessions) begin(from string, password passwordDigest) string {
	var b [32]byte
	rand.Read(b[:])
	token := base64.RawURLEncoding.EncodeToString(b[:])
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	for k, v := range s.live {
		if now.After(v.ends) || len(s.live) >= maxSessions {
			delete(s.live, k)
		}
	}
	for k, last := range s.known {
		if now.Sub(last) > acquaintance || len(s.known) >= maxKnown {
			delete(s.known, k)
		}
	}
	s.known[from] = now
	s.live[sha256.Sum256([]byte(token))] = session{now.Add(sessionLife), password}
	return token
}

// knows reports whether a token is of a session that goes on.
func (s *sessions) knows(ctx context.Context, token string) bool {
	s.mu.Lock()
	v, ok := s.live[sha256.Sum256([]byte(token))]
	s.mu.Unlock()
	if !ok || !s.now().Before(v.ends) {
		return false
	}
	kept, err := s.kept(ctx)
	return err == nil && digestOf(kept) == v.password
}

func (s *sessions) end(token string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.live, sha256.Sum256([]byte(token)))
}

// mayTry reports whether a password from an address may be looked at.
func (s *sessions) mayTry(from string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.forget()
	_, known := s.known[from]
	return len(s.failures[from]) < triesEach && (known || len(s.strange) < triesAll)
}

// failed counts a wrong password.
func (s *sessions) failed(from string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.failures[from] = append(s.failures[from], s.now())
	if _, known := s.known[from]; !known {
		s.strange = append(s.strange, s.now())
	}
}

// forget drops the failures that are long enough ago.
func (s *sessions) forget() {
	fresh := func(list []time.Time) []time.Time {
		for len(list) > 0 && s.now().Sub(list[0]) >= guessWindow {
			list = list[1:]
		}
		return list
	}
	for k, list := range s.failures {
		if list = fresh(list); len(list) == 0 {
			delete(s.failures, k)
		} else {
			s.failures[k] = list
		}
	}
	s.strange = fresh(s.strange)
}
