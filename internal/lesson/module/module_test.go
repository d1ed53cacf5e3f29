package module

import (
	"bytes"
	"compress/gzip"
	"io"
	"testing"
)

// TestPackedIsSmall: every student's page carries the program.
func TestPackedIsSmall(t *testing.T) {
	b := Packed()
	if len(b) > MaxPacked {
		t.Errorf("packed it has %d bytes, %d are the most", len(b), MaxPacked)
	}
	r, err := gzip.NewReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(r)
	if err != nil || !bytes.Equal(got, program) {
		t.Errorf("unpacked it is not the program: %v", err)
	}
	if !bytes.HasPrefix(program, []byte("\x00asm\x01\x00\x00\x00")) { // WebAssembly Core Specification 1.0, 5.5.16
		t.Error("it is no WebAssembly program")
	}
	t.Logf("%d bytes, packed %d", len(program), len(b))
}
