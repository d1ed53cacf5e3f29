package web

import (
	"bufio"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"lapwright/internal/refcheck"
)

// foxPrefs are the settings of a Firefox that is looked at by tests alone: it
// sounds without a press, and asks nobody for anything.
const foxPrefs = `user_pref("media.autoplay.default", 0);
user_pref("media.autoplay.blocking_policy", 0);
user_pref("media.cubeb.force_mock_context", true);
user_pref("app.normandy.enabled", false);
user_pref("app.update.disabledForTesting", true);
user_pref("browser.region.network.url", "");
user_pref("browser.safebrowsing.update.enabled", false);
user_pref("browser.shell.checkDefaultBrowser", false);
user_pref("browser.startup.page", 0);
user_pref("datareporting.policy.dataSubmissionEnabled", false);
user_pref("dom.push.connection.enabled", false);
user_pref("extensions.getAddons.cache.enabled", false);
user_pref("extensions.systemAddon.update.enabled", false);
user_pref("extensions.update.enabled", false);
user_pref("network.captive-portal-service.enabled", false);
user_pref("network.connectivity-service.enabled", false);
user_pref("services.settings.server", "data:,");
user_pref("toolkit.telemetry.server", "data:,");
`

// firefox is the one Firefox that all walks in it share. It is driven by WebDriver
// BiDi (W3C, www.w3.org/TR/webdriver-bidi).
var firefox struct {
	once sync.Once
	fox  *fox
	err  error
	turn sync.Mutex // of the one walk that has it: what is not in front is slowed down
}

// fox is a running Firefox and the line to it.
type fox struct {
	program *exec.Cmd
	dir     string
	conn    *websocket.Conn

	mu      sync.Mutex
	last    int
	waiting map[int]chan foxAnswer
	tabs    map[string]*window // by browsing context
}

type foxAnswer struct {
	ID      int             `json:"id"`
	Type    string          `json:"type"` // success, error, event
	Result  json.RawMessage `json:"result"`
	Error   string          `json:"error"`
	Message string          `json:"message"`
	Method  string          `json:"method"`
	Params  json.RawMessage `json:"params"`
}

// startFox starts the browser and opens a session in it.
func startFox() (*fox, error) {
	path, err := refcheck.Firefox()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "lapwright-firefox-*")
	if err != nil {
		return nil, err
	}
	f := &fox{dir: dir, waiting: map[int]chan foxAnswer{}, tabs: map[string]*window{}}
	if err := os.WriteFile(filepath.Join(dir, "user.js"), []byte(foxPrefs), 0o600); err != nil {
		return f, err
	}
	f.program = exec.Command(path, "--headless", "--no-remote", "--remote-debugging-port", "0", "--profile", dir, "about:blank")
	said, err := f.program.StderrPipe()
	if err != nil {
		return f, err
	}
	if err := f.program.Start(); err != nil {
		return f, err
	}
	address := make(chan string, 1)
	go func() {
		lines := bufio.NewScanner(said)
		for lines.Scan() {
			if _, at, ok := strings.Cut(lines.Text(), "listening on "); ok {
				address <- strings.TrimSpace(at)
				break
			}
		}
		close(address)
		io.Copy(io.Discard, said)
	}()
	select {
	case at, ok := <-address:
		if !ok {
			return f, errors.New("Firefox ended before it listened")
		}
		return f, f.connect(at)
	case <-time.After(windowTime):
		return f, errors.New("Firefox did not say where it listens")
	}
}

func (f *fox) connect(address string) error {
	ctx, stop := context.WithTimeout(context.Background(), windowTime)
	defer stop()
	conn, _, err := websocket.Dial(ctx, address+"/session", nil)
	if err != nil {
		return err
	}
	conn.SetReadLimit(-1)
	f.conn = conn
	go f.listen()
	if _, err := f.call(ctx, "session.new", map[string]any{"capabilities": map[string]any{}}); err != nil {
		return err
	}
	_, err = f.call(ctx, "session.subscribe", map[string]any{"events": []string{"log.entryAdded"}})
	return err
}

// end ends the browser that startFox started.
func (f *fox) end() {
	if f.conn != nil {
		ctx, stop := context.WithTimeout(context.Background(), 10*time.Second)
		defer stop()
		f.call(ctx, "browser.close", map[string]any{})
		f.conn.CloseNow()
	}
	if f.program != nil && f.program.Process != nil {
		gone := make(chan error, 1)
		go func() { gone <- f.program.Wait() }()
		select {
		case <-gone:
		case <-time.After(10 * time.Second):
			f.program.Process.Kill()
			<-gone
		}
	}
	os.RemoveAll(f.dir)
}

// listen hands answers to who waits for them, and what a page complains of to
// its test.
func (f *fox) listen() {
	for {
		_, raw, err := f.conn.Read(context.Background())
		if err != nil {
			f.mu.Lock()
			for _, w := range f.waiting {
				close(w)
			}
			f.waiting = map[int]chan foxAnswer{}
			f.mu.Unlock()
			return
		}
		var a foxAnswer
		if json.Unmarshal(raw, &a) != nil {
			continue
		}
		f.mu.Lock()
		if a.Type == "event" {
			f.heard(a)
		} else if w := f.waiting[a.ID]; w != nil {
			delete(f.waiting, a.ID)
			w <- a
		}
		f.mu.Unlock()
	}
}

// heard takes what a page has logged; f.mu is held.
func (f *fox) heard(a foxAnswer) {
	var entry struct {
		Level  string `json:"level"`
		Text   string `json:"text"`
		Source struct {
			Context string `json:"context"`
		} `json:"source"`
	}
	if a.Method != "log.entryAdded" || json.Unmarshal(a.Params, &entry) != nil || entry.Level != "error" {
		return
	}
	if b := f.tabs[entry.Source.Context]; b != nil {
		b.fault(entry.Text + " ")
	}
}

// call sends a command and waits for its answer.
func (f *fox) call(ctx context.Context, method string, params any) (json.RawMessage, error) {
	answer := make(chan foxAnswer, 1)
	f.mu.Lock()
	f.last++
	id := f.last
	f.waiting[id] = answer
	f.mu.Unlock()
	raw, err := json.Marshal(map[string]any{"id": id, "method": method, "params": params})
	if err != nil {
		return nil, err
	}
	if err := f.conn.Write(ctx, websocket.MessageText, raw); err != nil {
		return nil, err
	}
	select {
	case a, ok := <-answer:
		switch {
		case !ok:
			return nil, fmt.Errorf("%s: Firefox has gone", method)
		case a.Type == "error":
			return nil, fmt.Errorf("%s: %s: %s", method, a.Error, a.Message)
		}
		return a.Result, nil
	case <-ctx.Done():
		f.mu.Lock()
		delete(f.waiting, id)
		f.mu.Unlock()
		return nil, fmt.Errorf("%s: %w", method, ctx.Err())
	}
}

// foxTab is one tab of Firefox.
type foxTab struct {
	fox     *fox
	context string
}

// newFox opens a tab of Firefox. Errors that its console would show fail the test.
func newFox(t *testing.T, base string, width, height int64) *window {
	t.Helper()
	noBrowserInShort(t)
	firefox.turn.Lock()
	t.Cleanup(firefox.turn.Unlock)
	firefox.once.Do(func() { firefox.fox, firefox.err = startFox() })
	if firefox.err != nil {
		t.Fatalf("Firefox does not start (make test-tools installs it): %v", firefox.err)
	}
	f := firefox.fox
	ctx, stop := context.WithTimeout(context.Background(), windowTime)
	b := &window{t: t, base: base, wide: width > 640, ctx: ctx}
	var made struct {
		UserContext string `json:"userContext"`
		Context     string `json:"context"`
	}
	// One that has kept nothing yet.
	for _, step := range []string{"browser.createUserContext", "browsingContext.create"} {
		params := map[string]any{}
		if step == "browsingContext.create" {
			params = map[string]any{"type": "tab", "userContext": made.UserContext}
		}
		raw, err := f.call(ctx, step, params)
		if err == nil {
			err = json.Unmarshal(raw, &made)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	b.fox = &foxTab{f, made.Context}
	f.mu.Lock()
	f.tabs[made.Context] = b
	f.mu.Unlock()
	t.Cleanup(func() {
		f.call(ctx, "browser.removeUserContext", map[string]any{"userContext": made.UserContext}) // and its tab
		stop()
		f.mu.Lock()
		delete(f.tabs, made.Context)
		f.mu.Unlock()
		b.complain()
	})
	b.size(width, height)
	return b
}

// call sends a command about this tab.
func (x *foxTab) call(ctx context.Context, method string, params map[string]any) (json.RawMessage, error) {
	all := map[string]any{"context": x.context}
	for k, v := range params {
		all[k] = v
	}
	return x.fox.call(ctx, method, all)
}

func (x *foxTab) navigate(ctx context.Context, address string) error {
	_, err := x.call(ctx, "browsingContext.navigate", map[string]any{"url": address, "wait": "complete"})
	return err
}

// evaluate gives an expression's value, once its promise is kept, as JSON.
func (x *foxTab) evaluate(ctx context.Context, expression string) (json.RawMessage, error) {
	raw, err := x.fox.call(ctx, "script.evaluate", map[string]any{
		"expression": expression, "target": map[string]any{"context": x.context}, "awaitPromise": true, "resultOwnership": "none",
	})
	if err != nil {
		return nil, err
	}
	var out struct {
		Type             string    `json:"type"`
		Result           foxRemote `json:"result"`
		ExceptionDetails struct {
			Text string `json:"text"`
		} `json:"exceptionDetails"`
	}
	if err := json.Unmarshal(raw, &out); err != nil {
		return nil, err
	}
	if out.Type != "success" {
		return nil, errors.New(out.ExceptionDetails.Text)
	}
	v, err := out.Result.plain()
	if err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

// foxRemote is a value of a page as the protocol describes it.
type foxRemote struct {
	Type  string          `json:"type"`
	Value json.RawMessage `json:"value"`
}

func (r foxRemote) plain() (any, error) {
	var out any
	switch r.Type {
	case "undefined", "null":
		return nil, nil
	case "string", "boolean", "number": // NaN and the infinities are strings
		err := json.Unmarshal(r.Value, &out)
		return out, err
	case "array":
		var parts []foxRemote
		if err := json.Unmarshal(r.Value, &parts); err != nil {
			return nil, err
		}
		list := []any{}
		for _, p := range parts {
			v, err := p.plain()
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		return list, nil
	}
	return nil, fmt.Errorf("a page gave a value of the kind %q", r.Type)
}

// pointer moves the mouse through places in the window, pressed from the first on.
func (x *foxTab) pointer(ctx context.Context, places ...[2]float64) error {
	move := func(p [2]float64, ms int) map[string]any {
		return map[string]any{"type": "pointerMove", "x": math.Round(p[0]), "y": math.Round(p[1]), "duration": ms}
	}
	actions := []any{move(places[0], 0), map[string]any{"type": "pointerDown", "button": 0}}
	for _, p := range places[1:] {
		actions = append(actions, move(p, 50))
	}
	actions = append(actions, map[string]any{"type": "pointerUp", "button": 0})
	_, err := x.call(ctx, "input.performActions", map[string]any{"actions": []any{
		map[string]any{"type": "pointer", "id": "mouse", "parameters": map[string]any{"pointerType": "mouse"}, "actions": actions},
	}})
	return err
}

// wheel turns the mouse's wheel over a place by so many pixels.
func (x *foxTab) wheel(ctx context.Context, at [2]float64, down int) error {
	_, err := x.call(ctx, "input.performActions", map[string]any{"actions": []any{
		map[string]any{"type": "wheel", "id": "wheel", "actions": []any{map[string]any{"type": "scroll", "x": math.Round(at[0]), "y": math.Round(at[1]), "deltaX": 0, "deltaY": down}}},
	}})
	return err
}

// fetched gives bytes that a command answers with, such as a picture or paper.
func (x *foxTab) fetched(ctx context.Context, method string) ([]byte, error) {
	raw, err := x.call(ctx, method, nil)
	if err != nil {
		return nil, err
	}
	var out struct {
		Data string `json:"data"`
	}
	if err := json.Unmarshal(raw, &out); err != nil {
		return nil, err
	}
	return base64.StdEncoding.DecodeString(out.Data)
}
