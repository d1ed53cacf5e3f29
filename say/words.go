package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lapwright/tab"
	"lapwright/tune"
)

// Count says a number of things, named in the singular by a word that makes its
// plural as most do: "1 bar", "3 bars", "2 pitches", "0 bodies".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + Plural(thing)
}

// Capital returns a text with a capital at its head, as a sentence or a title
// begins.
func Capital(text string) string {
	first, n := utf8.DecodeRuneInString(text)
	if n == 0 {
		return text
	}
	return string(unicode.ToUpper(first)) + text[n:]
}

// Plural returns the plural of a word that makes it as most do.
func Plural(thing string) string {
	for _, end := range []string{"s", "x", "ch", "sh"} {
		if strings.HasSuffix(thing, end) {
			return thing + "es"
		}
	}
	if n := len(thing); n > 1 && thing[n-1] == 'y' && !strings.ContainsRune("aeiou", rune(thing[n-2])) {
		return thing[:n-1] + "ies"
	}
	return thing + "s"
}

// Times says how often: "once", "twice", "3 times".
func Times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return Count(n, "time")
}

// List joins words as a sentence does: "a", "a and b", "a, b and c".
func List(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Strings names strings by number: "string 3", "strings 1, 2 and 3".
func Strings(numbers []int) string {
	w := make([]string, len(numbers))
	for i, k := range numbers {
		w[i] = strconv.Itoa(k)
	}
	if len(numbers) == 1 {
		return "string " + w[0]
	}
	return "strings " + List(w)
}

// Fret writes where the steel lies: whole frets plain, between them to one decimal.
func Fret(f float64) string {
	if r := math.Round(f); math.Abs(f-r) < 0.2 {
		return strconv.Itoa(int(r))
	}
	return strconv.FormatFloat(f, 'f', 1, 64)
}

// Moved says how far what sounds lies from the tune as it came: "an octave and
// 2 semitones below".
func Moved(semitones int) string {
	dir, m := "above", semitones
	if m < 0 {
		dir, m = "below", -m
	}
	var parts []string
	switch oct := m / 12; {
	case oct == 1:
		parts = append(parts, "an octave")
	case oct > 1:
		parts = append(parts, Count(oct, "octave"))
	}
	switch k := m % 12; {
	case k == 1:
		parts = append(parts, "a semitone")
	case k > 1:
		parts = append(parts, Count(k, "semitone"))
	}
	return List(parts) + " " + dir
}

// Place says in which beat of its bar a compromise is.
func Place(t *tune.Tune, c tab.Compromise) string {
	if c.Ref.Bar < 0 || c.Ref.Bar >= len(t.Bars) {
		return c.At.String()
	}
	beat := t.Bars[c.Ref.Bar].Meter.Beat()
	if beat > 0 && c.At%beat == 0 {
		return fmt.Sprintf("beat %d", c.At/beat+1)
	}
	return c.At.String() + " into it"
}

// Passes writes pass numbers: "1.", "1. 2.", "1.–3.".
func Passes(n []int) string {
	run := len(n) > 2
	for i := 1; i < len(n); i++ {
		run = run && n[i] == n[i-1]+1
	}
	if run {
		return strconv.Itoa(n[0]) + ".–" + strconv.Itoa(n[len(n)-1]) + "."
	}
	parts := make([]string, len(n))
	for i, k := range n {
		parts[i] = strconv.Itoa(k) + "."
	}
	return strings.Join(parts, " ")
}

// Sign returns the words of a navigation mark.
func Sign(x tune.Sign) string {
	if x.Text != "" {
		return x.Text
	}
	switch x.Kind {
	case tune.ToCoda:
		return "To Coda"
	case tune.Fine:
		return "Fine"
	case tune.DaCapo:
		return "D.C."
	case tune.DalSegno:
		return "D.S."
	case tune.DaCapoAlFine:
		return "D.C. al Fine"
	case tune.DalSegnoAlFine:
		return "D.S. al Fine"
	case tune.DaCapoAlCoda:
		return "D.C. al Coda"
	case tune.DalSegnoAlCoda:
		return "D.S. al Coda"
	}
	return ""
}

// PerMinute writes thousandths of a beat a minute without needless zeros.
func PerMinute(milli int64) string {
	return strconv.FormatFloat(float64(milli)/1000, 'f', -1, 64)
}

// Signed writes a number of semitones with a plus or a true minus.
func Signed(n int) string {
	if n < 0 {
		return "−" + strconv.Itoa(-n)
	}
	return "+" + strconv.Itoa(n)
}

// SignedTo writes a figure to so many decimals with a plus or a true minus; one that rounds to nought is 0 and has no sign.
func SignedTo(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	switch {
	case strings.Trim(s, "0.") == "":
		return "0"
	case v < 0:
		return "−" + s
	}
	return "+" + s
}

// MovedBy says in words how far a tune was moved: "moved down by 1 octave",
// "moved up by 5 semitones"; "" when it was not.
func MovedBy(semitones int) string {
	way := "up"
	if semitones < 0 {
		way, semitones = "down", -semitones
	}
	switch {
	case semitones == 0:
		return ""
	case semitones%12 == 0:
		return "moved " + way + " by " + Count(semitones/12, "octave")
	}
	return "moved " + way + " by " + Count(semitones, "semitone")
}
