package web

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"lapwright/internal/studio"
)

// asks sends one request as given and gives the answer and its body.
func asks(t *testing.T, server *httptest.Server, method, path, body string, change func(*http.Request)) (*http.Response, string) {
	t.Helper()
	r, err := http.NewRequest(method, server.URL+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	res, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res, string(b)
}

func header(pairs ...string) func(*http.Request) {
	return func(r *http.Request) {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == "Host" {
				r.Host = pairs[i+1]
			} else {
				r.Header.Set(pairs[i], pairs[i+1])
			}
		}
	}
}

// TestReboundNames: a site elsewhere may point its own name at this machine,
// but its requests still carry that name.
func TestReboundNames(t *testing.T) {
	_, server := serve(t)
	for host, want := range map[string]int{
		"127.0.0.1:8417": 200, "localhost:8417": 200, "[::1]:8417": 200, "127.0.0.1": 200, "LOCALHOST": 200,
		"evil.example": 421, "localhost.evil.example:8417": 421, "192.168.1.7:8417": 421, "127.0.0.1.evil.example": 421, "[": 421,
	} {
		if res, _ := asks(t, server, "GET", "/", "", header("Host", host)); res.StatusCode != want {
			t.Errorf("host %q: status %d, want %d", host, res.StatusCode, want)
		}
	}
}

func TestRequestsFromOtherSites(t *testing.T) {
	st, server := serve(t)
	before, err := st.Recent(context.Background(), 100)
	if err != nil {
		t.Fatal(err)
	}
	item := before[0].ID
	for _, path := range []string{"/tunes", "/lessons", "/rigs", "/demo/remove", "/items/" + item + "/discard", "/items/" + item + "/save", "/studio/import", "/look", "/signout"} {
		for name, h := range map[string]func(*http.Request){
			"cross-site fetch": header("Sec-Fetch-Site", "cross-site"), "same-site sibling": header("Sec-Fetch-Site", "same-site"),
			"another origin": header("Origin", "http://evil.example"), "no origin to tell": header("Origin", "null"),
		} {
			if res, _ := asks(t, server, "POST", path, "text=X:1", h); res.StatusCode != http.StatusForbidden {
				t.Errorf("%s to %s: status %d, want 403", name, path, res.StatusCode)
			}
		}
	}
	after, err := st.Recent(context.Background(), 100)
	if err != nil || len(after) != len(before) {
		t.Errorf("%d items, were %d (%v)", len(after), len(before), err)
	}
}

func TestEveryAnswerIsGuarded(t *testing.T) {
	_, server := serve(t)
	for _, path := range []string{"/", "/tunes", "/nothing", "/assets/app.js", "/rigs/lap6-c6", "/takes"} {
		res, _ := asks(t, server, "GET", path, "", header("Accept", "text/html"))
		policy, scripts := res.Header.Get("Content-Security-Policy"), "script-src 'self';"
		if path == "/rigs/lap6-c6" || path == "/takes" { // they listen: a program of ours may run, and no text as script
			scripts = "script-src 'self' 'wasm-unsafe-eval';"
		}
		for _, want := range []string{"default-src 'none'", scripts, "frame-ancestors 'none'", "base-uri 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: the policy %q lacks %q", path, policy, want)
			}
		}
		if strings.Contains(strings.ReplaceAll(policy, scripts, ""), "unsafe") {
			t.Errorf("%s: the policy %q allows what is unsafe", path, policy)
		}
		if res.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: its type may be guessed", path)
		}
	}
}

func TestPathsStayInside(t *testing.T) {
	_, server := serve(t)
	for _, path := range []string{
		"/assets/../site.go", "/assets/%2e%2e/site.go", "/assets/..%2f..%2fetc/passwd", "/assets//etc/passwd", "/assets/fonts/",
		"/tunes/..%2f..%2fx", "/rigs/..%2f..%2f..%2fetc%2fpasswd", "/items/%00/revisions", "/jobs/../../x/file", "/tunes/0123456789abcdef",
	} {
		res, body := asks(t, server, "GET", path, "", nil)
		if res.StatusCode == http.StatusOK || strings.Contains(body, "root:") || strings.Contains(body, "package web") {
			t.Errorf("%s: status %d, %.60q", path, res.StatusCode, body)
		}
	}
}

// upload sends files as a page's form would.
func upload(t *testing.T, server *httptest.Server, path string, files map[string][]byte) (*http.Response, string) {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, content := range files {
		w, err := m.CreateFormFile("file", name)
		if err != nil {
			t.Fatal(err)
		}
		w.Write(content)
	}
	m.Close()
	return asks(t, server, "POST", path, b.String(), header("Content-Type", m.FormDataContentType(), "Accept", "application/json"))
}

func TestUploadsThatAreRefused(t *testing.T) {
	st, server := serve(t)
	before, err := st.Recent(context.Background(), 100)
	if err != nil {
		t.Fatal(err)
	}
	var swollen bytes.Buffer
	z := zip.NewWriter(&swollen)
	w, err := z.Create("studio.json")
	if err != nil {
		t.Fatal(err)
	}
	block := bytes.Repeat([]byte{' '}, 1<<20)
	for range 80 {
		w.Write(block)
	}
	z.Close()
	var outside bytes.Buffer
	z = zip.NewWriter(&outside)
	if w, err = z.Create("../../../tmp/evil"); err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(w, "x")
	z.Close()
	for _, c := range []struct {
		name, path, file string
		content          []byte
		status           int
		want             string
	}{
		{"huge", "/tunes", "a.abc", bytes.Repeat([]byte("A"), maxForm+1), 413, "larger than 8 MB"},
		{"binary", "/tunes", "a.abc", []byte{0, 1, 2}, 422, "not text"},
		{"empty", "/tunes", "a.abc", nil, 422, "empty"},
		{"unknown ending", "/tunes", "a.exe", []byte("MZ"), 422, "can't be read as a tune"},
		{"a score with an entity of a file", "/tunes", "a.musicxml", []byte(`<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY e SYSTEM "file:///etc/passwd">]>` +
			`<score-partwise version="4.0"><work><work-title>&e;</work-title></work></score-partwise>`), 422, "declarations of its own"},
		{"a score whose entities swell", "/tunes", "a.musicxml", []byte(`<?xml version="1.0"?><!DOCTYPE score-partwise [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>` +
			`<score-partwise version="4.0"><work><work-title>&b;</work-title></work></score-partwise>`), 422, "declarations of its own"},
		{"a packed score with a path outside", "/tunes", "a.mxl", outside.Bytes(), 422, "a.mxl"},
		{"no studio", "/studio/import", "a.zip", []byte("x"), 400, "no zip file"},
		{"swollen archive", "/studio/import", "a.zip", swollen.Bytes(), 400, "larger than what is taken"},
		{"archive with a path outside", "/studio/import", "a.zip", outside.Bytes(), 400, "no file"},
	} {
		res, body := upload(t, server, c.path, map[string][]byte{c.file: c.content})
		if res.StatusCode != c.status || !strings.Contains(body, c.want) {
			t.Errorf("%s: status %d, %.200q, want %d with %q", c.name, res.StatusCode, body, c.status, c.want)
		}
	}
	after, err := st.Recent(context.Background(), 100)
	if err != nil || len(after) != len(before) {
		t.Errorf("%d items, were %d (%v)", len(after), len(before), err)
	}
}

// TestTitlesCannotInjectMarkup puts a hostile title through every page that
// shows it, and every file that carries it in its name.
func TestTitlesCannotInjectMarkup(t *testing.T) {
	st, server := serve(t)
	ctx := context.Background()
	const evil = `"><script>alert(1)</script><img src=x onerror=alert(1)>`
	it, err := st.Add(ctx, studio.Tune, studio.Content{Title: evil, Body: "X:1\nT:" + evil + "\nC:" + evil + "\nM:4/4\nL:1/4\nK:G\n\"" + evil + "\"GABc|\nw:" + evil + "\n"}, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/", "/tunes", "/tunes/" + it.ID, "/items/" + it.ID + "/revisions", "/lessons"} {
		res, body := asks(t, server, "GET", path, "", header("Accept", "text/html"))
		if res.StatusCode != 200 || strings.Contains(body, "<script>alert") || strings.Contains(body, "<img src=x") {
			t.Errorf("%s: status %d, the title became markup", path, res.StatusCode)
		}
	}
	res, body := asks(t, server, "GET", "/tunes/"+it.ID+"/shown?rig=lap6-c6", "", nil)
	if res.StatusCode != 200 || strings.Contains(body, "<script") || strings.Contains(body, `\u003cscript`) || strings.Contains(body, `\u003cimg`) {
		t.Errorf("shown: status %d, the drawing holds markup", res.StatusCode)
	}
	res, _ = asks(t, server, "GET", "/tunes/"+it.ID+"/file/tab.txt?rig=lap6-c6", "", nil)
	if d := res.Header.Get("Content-Disposition"); res.StatusCode != 200 || strings.ContainsAny(d, "<>\"\r\n") {
		t.Errorf("file: status %d, disposition %q", res.StatusCode, d)
	}
}

// locked starts a site that visitors must sign in to.
func locked(t *testing.T, now func() time.Time) *httptest.Server {
	t.Helper()
	st := newStudio(t)
	if err := SetPassword(context.Background(), st, "a long enough one"); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	site, err := New(ctx, st, Options{Password: true, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(site.Handler())
	t.Cleanup(func() { stop(); server.Close() })
	return server
}

func signIn(t *testing.T, server *httptest.Server, password, cookie string) *http.Response {
	t.Helper()
	res, _ := asks(t, server, "POST", "/signin", url.Values{"password": {password}}.Encode(), func(r *http.Request) {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if cookie != "" {
			r.Header.Set("Cookie", cookie)
		}
	})
	return res
}

func TestVisitorsSignIn(t *testing.T) {
	clock := time.Now()
	server := locked(t, func() time.Time { return clock })
	if res, _ := asks(t, server, "GET", "/tunes", "", header("Accept", "text/html")); res.StatusCode != 303 || res.Header.Get("Location") != "/signin" {
		t.Errorf("a stranger's page: status %d to %q", res.StatusCode, res.Header.Get("Location"))
	}
	for _, path := range []string{"/studio/export", "/tunes/x/shown", "/trash"} {
		if res, _ := asks(t, server, "GET", path, "", nil); res.StatusCode != 401 {
			t.Errorf("a stranger's %s: status %d, want 401", path, res.StatusCode)
		}
	}
	// A token that the visitor brought is never taken over (session fixation).
	brought := "lapwright=" + strings.Repeat("A", 43)
	res := signIn(t, server, "a long enough one", brought)
	if res.StatusCode != 303 || len(res.Cookies()) != 1 {
		t.Fatalf("the right password: status %d, cookies %v", res.StatusCode, res.Cookies())
	}
	c := res.Cookies()[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || len(c.Value) < 40 || "lapwright="+c.Value == brought {
		t.Errorf("the session's cookie is %+v", c)
	}
	if res, _ := asks(t, server, "GET", "/tunes", "", header("Cookie", brought)); res.StatusCode == 200 {
		t.Error("the token that was brought lets in")
	}
	mine := "lapwright=" + c.Value
	if res, _ := asks(t, server, "GET", "/tunes", "", header("Cookie", mine)); res.StatusCode != 200 {
		t.Errorf("signed in: status %d", res.StatusCode)
	}
	clock = clock.Add(sessionLife + time.Second)
	if res, _ := asks(t, server, "GET", "/tunes", "", header("Cookie", mine)); res.StatusCode == 200 {
		t.Error("a session outlives its time")
	}
	clock = clock.Add(time.Minute)
	res = signIn(t, server, "a long enough one", "")
	mine = "lapwright=" + res.Cookies()[0].Value
	asks(t, server, "POST", "/signout", "", header("Cookie", mine))
	if res, _ := asks(t, server, "GET", "/tunes", "", header("Cookie", mine)); res.StatusCode == 200 {
		t.Error("a session outlives signing out")
	}
}

func TestPasswordsCannotBeGuessedFast(t *testing.T) {
	clock := time.Now()
	server := locked(t, func() time.Time { return clock })
	for i := range triesEach {
		if res := signIn(t, server, fmt.Sprint("guess ", i), ""); res.StatusCode != 403 {
			t.Errorf("guess %d: status %d, want 403", i, res.StatusCode)
		}
	}
	if res := signIn(t, server, "a long enough one", ""); res.StatusCode != 429 || res.Header.Get("Retry-After") == "" {
		t.Errorf("after %d guesses: status %d, want 429 even for the right one", triesEach, res.StatusCode)
	}
	clock = clock.Add(guessWindow)
	if res := signIn(t, server, "a long enough one", ""); res.StatusCode != 303 {
		t.Errorf("a minute later: status %d, want 303", res.StatusCode)
	}
	// From many addresses together.
	s := newSessions(func() time.Time { return clock }, nil)
	s.begin("10.9.9.9", passwordDigest{})
	let := 0
	for i := range 1000 {
		if from := fmt.Sprintf("10.0.%d.%d", i/250, i%250); s.mayTry(from) {
			let++
			s.failed(from)
		}
	}
	if let != triesAll {
		t.Errorf("%d guesses from many addresses in one moment were let through, want %d", let, triesAll)
	}
	if !s.mayTry("10.9.9.9") {
		t.Error("an address that somebody signed in from is locked out by the others")
	}
}

// TestAClassBehindOneRouterSignsIn: right passwords are no guesses.
func TestAClassBehindOneRouterSignsIn(t *testing.T) {
	server := locked(t, time.Now)
	var all sync.WaitGroup
	for range 3 * triesEach {
		all.Go(func() {
			if res := signIn(t, server, "a long enough one", ""); res.StatusCode != 303 {
				t.Errorf("the right password: status %d, want 303", res.StatusCode)
			}
		})
	}
	all.Wait()
}

// TestGuessesAtOnceAreNoWayAround: many wrong passwords at the same moment
// count like one after another.
func TestGuessesAtOnceAreNoWayAround(t *testing.T) {
	server := locked(t, time.Now)
	var all sync.WaitGroup
	var looked atomic.Int64
	for i := range 4 * triesEach {
		all.Go(func() {
			if res := signIn(t, server, fmt.Sprint("guess ", i), ""); res.StatusCode == 403 {
				looked.Add(1)
			}
		})
	}
	all.Wait()
	if looked.Load() != triesEach {
		t.Errorf("%d guesses at once were looked at, want %d", looked.Load(), triesEach)
	}
}

// TestANewPasswordEndsSessions: also one that another process sets.
func TestANewPasswordEndsSessions(t *testing.T) {
	s := newSchool(t)
	cookie := s.cookie()
	if status, _, err := s.send(t.Context(), cookie, "GET", "/tunes", ""); status != 200 || err != nil {
		t.Fatalf("signed in: status %d, %v", status, err)
	}
	other, err := studio.Open(t.Context(), s.st.Dir(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if err := SetPassword(t.Context(), other, "quite another one"); err != nil {
		t.Fatal(err)
	}
	if status, _, err := s.send(t.Context(), cookie, "GET", "/tunes", ""); status != 401 || err != nil {
		t.Errorf("after a new password was set: status %d, %v, want 401", status, err)
	}
}

// TestAddressesAreToldApart: an IPv6 visitor has a /64 (RFC 4291, section
// 2.5.1), and an IPv4 address written as IPv6 is that address (section 2.5.5.2).
func TestAddressesAreToldApart(t *testing.T) {
	for remote, want := range map[string]string{
		"192.0.2.7:5000": "192.0.2.7", "[::ffff:192.0.2.7]:5000": "192.0.2.7",
		"[2001:db8:1:2:3:4:5:6]:80": "2001:db8:1:2::/64", "[2001:db8:1:2:ffff::1]:81": "2001:db8:1:2::/64", "[2001:db8:1:3::1]:80": "2001:db8:1:3::/64",
		"[fe80::1%eth0]:80": "fe80::/64",
	} {
		if got := addressOf(&http.Request{RemoteAddr: remote}); got != want {
			t.Errorf("%s is %s, want %s", remote, got, want)
		}
	}
}

func TestSecureCookieOverTLS(t *testing.T) {
	s := &door{encrypted: true}
	if c := s.cookie("x", time.Hour); !c.Secure || c.Name != "__Host-lapwright" {
		t.Errorf("the cookie over TLS is %+v", c)
	}
}

// TestSlowUploadEnds: a client that trickles its body is cut off; here with a
// short allowance.
func TestSlowUploadEnds(t *testing.T) {
	st := newStudio(t)
	site, err := New(t.Context(), st, Options{})
	if err != nil {
		t.Fatal(err)
	}
	site.pace.allowance = 300 * time.Millisecond
	server := httptest.NewServer(site.Handler())
	defer server.Close()
	c, err := net.Dial("tcp", server.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	fmt.Fprintf(c, "POST /tunes HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100000\r\n\r\ntext=")
	c.SetReadDeadline(time.Now().Add(time.Minute))
	if _, err := io.ReadAll(c); err != nil {
		t.Fatalf("the connection was not ended: %v", err)
	}
}

// TestSlowDownloadArrives: a line that goes on is never cut, however long the
// whole takes; one that stands still is.
func TestSlowDownloadArrives(t *testing.T) {
	t.Parallel() // it mostly waits
	st := newStudio(t)
	site, err := New(t.Context(), st, Options{})
	if err != nil {
		t.Fatal(err)
	}
	site.pace = pace{2 * time.Second, time.Microsecond}
	server := httptest.NewServer(site.Handler())
	defer server.Close()
	const size = 24 << 20
	fetch := func() (net.Conn, string) {
		j := made(t, site.jobs.work, "127.0.0.1", size)
		c, err := net.Dial("tcp", server.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { c.Close() })
		fmt.Fprintf(c, "GET /jobs/%s/file HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n", j.id)
		return c, j.id
	}
	slow, _ := fetch()
	got, block := 0, make([]byte, 512<<10)
	for {
		n, err := slow.Read(block)
		got += n
		if err != nil {
			break
		}
		time.Sleep(time.Duration(n) * time.Second / (8 << 20)) // three seconds in all
	}
	if got < size {
		t.Errorf("a slow line got %d bytes of %d", got, size)
	}
	still, _ := fetch()
	if _, err := io.ReadFull(still, block[:1000]); err != nil {
		t.Fatal(err)
	}
	time.Sleep(8 * time.Second)
	if rest, _ := io.Copy(io.Discard, still); rest > size/2 {
		t.Errorf("a line that stood still got %d bytes more", rest)
	}
}

// TestSlowFetchersHoldNoDatabase: ten who fetch the whole studio and stop
// reading must not keep a page from anybody.
func TestSlowFetchersHoldNoDatabase(t *testing.T) {
	t.Parallel() // it mostly waits
	st, server := serve(t)
	// What does not pack well, and more than the machine keeps on the way.
	rng := rand.New(rand.NewPCG(5, 5))
	text := make([]byte, 4<<20)
	for i := range text {
		text[i] = byte(' ' + rng.IntN(95))
	}
	for i := range 4 {
		if _, err := st.Add(t.Context(), studio.Tune, studio.Content{Title: fmt.Sprint("Long ", i), Body: string(text)}, false); err != nil {
			t.Fatal(err)
		}
	}
	for range 10 {
		c, err := net.Dial("tcp", server.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprintf(c, "GET /studio/export HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
	}
	time.Sleep(2 * time.Second)
	client := http.Client{Timeout: time.Minute}
	res, err := client.Get(server.URL + "/tunes")
	if err != nil {
		t.Fatalf("with ten slow fetchers a page is not answered: %v", err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusOK {
		t.Errorf("status %d", res.StatusCode)
	}
}

func TestScriptsAreSmall(t *testing.T) {
	_, server := serve(t)
	total := 0
	for _, name := range []string{"app.js", "editor.js", "app.css"} {
		// The client must not unpack by itself.
		res, body := asks(t, server, "GET", "/assets/"+name, "", header("Accept-Encoding", "gzip"))
		if res.Header.Get("Content-Encoding") != "gzip" {
			t.Errorf("%s is not packed", name)
		}
		if strings.HasSuffix(name, ".js") {
			total += len(body)
		}
		t.Logf("%s: %d bytes packed", name, len(body))
	}
	if total > 250_000 {
		t.Errorf("the page's scripts are %d bytes packed, want under 250,000", total)
	}
}
