package say

import (
	"strings"
	"testing"
)

func TestSlug(t *testing.T) {
	for in, want := range map[string]string{
		"Slack Water": "slack-water", "  ": "untitled", "../../x": "x", "Éa — b": "a-b", "The Ferryman's Reel": "the-ferrymans-reel",
		strings.Repeat("a", 100): strings.Repeat("a", 48),
	} {
		if got := Slug(in); got != want {
			t.Errorf("Slug(%q) = %q, want %q", in, got, want)
		}
	}
}
