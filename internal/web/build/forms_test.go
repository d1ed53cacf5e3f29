package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// TestTypescript: RFC 8259 has numbers, strings, booleans, arrays and objects;
// what may be left out is marked so.
func TestTypescript(t *testing.T) {
	type inner struct {
		A int `json:"a"`
	}
	type embedded struct {
		E string `json:"e"`
	}
	type outer struct {
		embedded
		N     float64          `json:"n,omitempty"`
		List  []inner          `json:"list"`
		Pair  [2]int           `json:"pair"`
		By    map[string]inner `json:"by"`
		One   *inner           `json:"one,omitempty"`
		Yes   bool             `json:"yes"`
		None  string           `json:"-"`
		inner int
	}
	_ = outer{}.inner // a field that is not exported has no place in the form
	want := "export interface inner {\n  a: number;\n}\n\nexport interface outer {\n  e: string;\n  n?: number;\n  list: inner[];\n  pair: [number, number];\n  by: Record<string, inner>;\n  one?: inner;\n  yes: boolean;\n}\n"
	if got := typescript([]any{outer{}}); !bytes.HasSuffix(got, []byte("\n\n"+want)) {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

// TestFormsAreFresh: the committed types are those of the forms.
func TestFormsAreFresh(t *testing.T) {
	got, err := os.ReadFile(filepath.Join("../src", formsFile))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, typescript(forms)) {
		t.Errorf("%s is stale; run make assets and commit it", formsFile)
	}
}
