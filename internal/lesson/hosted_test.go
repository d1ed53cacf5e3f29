package lesson

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"

	"lapwright/internal/lesson/module"
	"lapwright/report"
)

// TestHostedFiles: what a page for a web space brings stands beside it under its digest,
// its service worker is told of every file but the large ones, and the same lesson gives
// the same files.
func TestHostedFiles(t *testing.T) {
	made := *lesson(t)
	made.Hosted = true
	files, err := made.Files()
	if err != nil {
		t.Fatal(err)
	}
	by := map[string][]byte{}
	for _, f := range files {
		by[f.Name] = f.Bytes
	}
	program := "lapwright-" + shortDigest(module.Packed()) + ".bin"
	if !bytes.Equal(by[program], module.Packed()) {
		t.Errorf("the program is not in %s", program)
	}
	page := string(by["index.html"])
	for name := range by {
		if (strings.HasSuffix(name, ".opus") || name == program) && !strings.Contains(page, `data-file="`+name+`"`) {
			t.Errorf("the page does not bring %s", name)
		}
	}
	if worklet := "capture-" + shortDigest(captureScript) + ".js"; !bytes.Equal(by[worklet], captureScript) || !strings.Contains(page, `data-capture="`+worklet+`"`) {
		t.Errorf("the page does not record by %s", worklet)
	}
	if strings.Contains(page, string(inBase64(module.Packed()[:300]))) || !strings.Contains(page, `data-keep="keep.js"`) || !strings.Contains(page, "connect-src &#39;self&#39;") || !strings.Contains(page, "worker-src blob: &#39;self&#39;") {
		t.Errorf("the page carries its program, or may not bring it: %.600s", page)
	}
	told, rest, _ := strings.Cut(string(by[keepFile]), ";\n")
	var k kept
	if err := json.Unmarshal([]byte(strings.TrimPrefix(told, "self.lesson=")), &k); err != nil || rest != keepScript {
		t.Fatalf("what stands before the service worker's script: %v", err)
	}
	for name, b := range by {
		sum := sha256.Sum256(b)
		large := strings.HasSuffix(name, ".flac") || strings.HasSuffix(name, ".wav")
		if got := k.Files[name]; name != keepFile && !large && got != hex.EncodeToString(sum[:]) || (large || name == keepFile) && got != "" {
			t.Errorf("of %s the service worker is told %q", name, got)
		}
	}
	var r report.Lesson
	if err := json.Unmarshal(by["lesson.json"], &r); err != nil || !strings.Contains(strings.Join(r.Files, " "), program) {
		t.Errorf("lesson.json does not name the program: %v %q", err, r.Files)
	}
	again, err := made.Files()
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range again {
		if f.Name != files[i].Name || !bytes.Equal(f.Bytes, files[i].Bytes) {
			t.Errorf("%s is another the second time", f.Name)
		}
	}
}
