package web

import (
	"net/http"
	"regexp"
	"testing"
)

// TestPitchesStandAsPrinted: no page shows a pitch with the letters that it is typed
// with, F#4 for F♯4, outside the fields that are typed in and instruments' files.
func TestPitchesStandAsPrinted(t *testing.T) {
	_, server := serve(t)
	typed := regexp.MustCompile(`\b[A-G](#|b)\d\b`)
	inside := regexp.MustCompile(`(?s)<script.*?</script>|<textarea.*?</textarea>|<[^>]*>`)
	seen := regexp.MustCompile(`[A-G][♯♭]\d`)
	for _, path := range []string{"/rigs", "/rigs/pedal10-e9", "/rigs/pedal10-e9/pegs?chord=E", "/rigs/lap8-c13/retune", "/rigs/lap8-c13/retune?to=C2+Bb2+C3+E3+F%233+A3+C4+E4", "/rigs/pedal10-e9/compare?with=lap8-c13"} {
		words := inside.ReplaceAllString(pageText(t, server, path, http.StatusOK), " ")
		if got := typed.FindAllString(words, 5); got != nil {
			t.Errorf("%s shows %q", path, got)
		}
		if !seen.MatchString(words) {
			t.Errorf("%s shows no pitch with an accidental", path)
		}
	}
}
