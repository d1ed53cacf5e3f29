package chart

import (
	"fmt"
	"strings"

	"lapwright/tune"
)

// Write writes the chords of a tune as a chart that Read takes, four bars a line, with
// the numbers of the key where numbers asks for them. Melody, words and everything
// between the chords are left out; a chord inside a beat goes to the beat that it
// stands in, the last one there counts.
func Write(t *tune.Tune, numbers bool) []byte {
	var b strings.Builder
	first := &t.Bars[0]
	if t.Title != "" {
		fmt.Fprintf(&b, "title: %s\n", strings.Join(strings.Fields(t.Title), " "))
	}
	if t.Rhythm != "" {
		fmt.Fprintf(&b, "kind: %s\n", strings.Join(strings.Fields(t.Rhythm), " "))
	}
	fmt.Fprintf(&b, "key: %s\nmeter: %d/%d\n", first.Key, first.Meter.Beats, first.Meter.Unit)
	for _, tempo := range first.Tempos {
		if tempo.PerMinute > 0 && tempo.Beat == first.Meter.Beat() {
			fmt.Fprintf(&b, "tempo: %d\n", (tempo.PerMinute+500)/1000)
			break
		}
	}
	key, meter, begun, seen := first.Key, first.Meter, 0, false
	for i := range t.Bars {
		bar := &t.Bars[i]
		if t.Within(i) > 0 && i == 0 {
			continue // a pickup has no chord of its own
		}
		if bar.Key != key || !bar.Meter.Equal(meter) {
			key, meter = bar.Key, bar.Meter
			fmt.Fprintf(&b, "\nkey: %s\nmeter: %d/%d", key, meter.Beats, meter.Unit)
			begun = 0
		}
		if begun%4 == 0 {
			b.WriteString("\n|")
		}
		begun++
		if bar.Left.Repeat > 0 {
			b.WriteString(":")
		}
		if len(bar.Endings) > 0 {
			fmt.Fprintf(&b, " [%d", bar.Endings[0])
		}
		b.WriteString(" " + strings.Join(words(bar, numbers, &seen), " ") + " ")
		if bar.Right.Repeat > 0 {
			b.WriteString(":")
		}
		b.WriteString("|")
	}
	b.WriteString("\n")
	return []byte(b.String())
}

// words returns what stands in a bar: one word a beat, fewer where they say the same.
// Before the first chord, which sets seen, there is none.
func words(b *tune.Bar, numbers bool, seen *bool) []string {
	beats := max(1, int(b.Len/b.Meter.Beat()))
	out := make([]string, beats)
	changes := 0
	for i := range out {
		out[i] = "/"
	}
	for _, c := range b.Chords {
		k := min(int(c.At/b.Meter.Beat()), beats-1)
		switch {
		case c.Chord == nil:
			out[k] = "N.C."
		case numbers:
			out[k] = c.Chord.Degree(b.Key.Tonic)
		default:
			out[k] = c.Chord.String()
		}
		changes++
	}
	if !*seen && out[0] == "/" {
		out[0] = "N.C."
		changes++
	}
	*seen = true
	switch {
	case changes == 0:
		return []string{"/"}
	case changes == 1 && out[0] != "/":
		return out[:1]
	case changes == 2 && beats%2 == 0 && out[0] != "/" && out[beats/2] != "/":
		return []string{out[0], out[beats/2]}
	}
	return out
}
