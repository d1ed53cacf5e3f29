package web

import (
	"html"
	"strings"
	"testing"

	"lapwright/internal/notices"
)

// The page holds every notice whole, and every page's footer leads to it.
func TestLicencesPage(t *testing.T) {
	_, server := serve(t)
	_, page := asks(t, server, "GET", "/licences", "", header("Accept", "text/html"))
	for _, p := range notices.Notices() {
		if !strings.Contains(html.UnescapeString(page), p.Text) {
			t.Errorf("the notice of %s isn't there whole", p.Name)
		}
	}
	if _, first := asks(t, server, "GET", "/", "", header("Accept", "text/html")); !strings.Contains(first, `<a href="/licences">`) {
		t.Error("the first page doesn't lead to the licences")
	}
}
