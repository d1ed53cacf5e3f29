package tabtext

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/inorder"
	"lapwright/notation/columns"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Magic is the first line of the exact form.
const Magic = "tab text 1"

// width is the longest line aimed at, in runes. A single bar may be wider.
const width = 96

// Format writes a tab as text in the exact form. The tab must be valid
// (tab.Check finds nothing).
func Format(t *tab.Tab) []byte {
	var b bytes.Buffer
	writeHeader(&b, t)
	writeSystems(&b, t, width)
	if fine := finePrint(t, b.Bytes()); fine != "" {
		b.WriteString("\n" + finePrintLabel + "\n" + fine)
	}
	return b.Bytes()
}

// writeHeader writes what holds for the whole piece.
func writeHeader(b *bytes.Buffer, t *tab.Tab) {
	line := func(key, value string) { fmt.Fprintf(b, "%s: %s\n", key, headerText(value)) }
	some := func(key, value string) {
		if value != "" {
			line(key, value)
		}
	}
	each := func(key string, values []string) {
		for _, v := range values {
			line(key, v)
		}
	}
	b.WriteString(Magic + "\n")
	u := t.Tune
	some("title", u.Title)
	each("subtitle", u.Subtitles)
	some("composer", u.Composer)
	some("origin", u.Origin)
	some("rhythm", u.Rhythm)
	some("source", u.Source)
	each("note", u.Notes)
	if u.Index != 0 {
		line("number", strconv.Itoa(u.Index))
	}
	if !u.Swing.Even() {
		line("swing", u.Swing.String())
	}
	some("parts", u.PartOrder)
	if len(u.Voices) != 1 || u.Voices[0] != columns.OnlyVoice {
		var vs []string
		for _, v := range u.Voices {
			vs = append(vs, columns.Quote(v.ID)+" "+columns.Quote(v.Name))
		}
		fmt.Fprintf(b, "voices: %s\n", strings.Join(vs, ", "))
	}
	line("rig", t.Rig.Name)
	line("tuning", t.Rig.TuningText())
	if t.Rig.Capo.At != 0 {
		line("capo", strconv.Itoa(t.Rig.Capo.At))
	}
	if t.Transposed != 0 {
		line("transposed", strconv.Itoa(t.Transposed))
	}
	if len(u.Bars) > 0 {
		first := &u.Bars[0]
		line("key", first.Key.Text())
		line("meter", columns.FormatMeter(first.Meter))
		if len(first.Tempos) > 0 && first.Tempos[0].At == 0 {
			fmt.Fprintf(b, "tempo: %s\n", columns.FormatTempo(first.Tempos[0]))
		}
	}
	each("words", u.Words)
}

// headerText quotes a value that a header line would not give back as it is.
func headerText(s string) string {
	if s == "" || strings.TrimSpace(s) != s || strings.HasPrefix(s, `"`) || !printable(s) {
		return columns.Quote(s)
	}
	return s
}

func printable(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool {
		return r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 || r == '\ufeff'
	})
}

// rowKind orders the lines of a system from the top.
type rowKind int

const (
	numberRow rowKind = iota
	signRow
	chordRow
	steelRow
	rhythmRow
	stringRow
	handRow
	verseRow
)

// rowID names one line of a system: a kind and which of its kind (voice,
// string, or verse and voice).
type rowID struct {
	kind rowKind
	a, b int
}

func (id rowID) label(t *tab.Tab) string {
	switch id.kind {
	case numberRow:
		return "bar"
	case signRow:
		return "signs"
	case chordRow:
		return "chords"
	case steelRow:
		return "steel"
	case rhythmRow:
		if len(t.Tune.Voices) == 1 {
			return "rhythm"
		}
		return fmt.Sprintf("rhythm %d", id.a+1)
	case stringRow:
		return fmt.Sprintf("%d %s", id.a, t.Rig.TunedNames()[id.a-1])
	case handRow:
		return "hand"
	}
	if id.b == 0 {
		return fmt.Sprintf("verse %d", id.a)
	}
	return fmt.Sprintf("verse %d/%d", id.a, id.b+1)
}

// block is one bar laid out: for each row its tokens by column.
type block struct {
	times  []tune.Ticks
	widths []int
	rows   map[rowID][][]string
	left   string // barline glyph when the bar stands first in its system
	right  string // and the one after it when it stands last
	join   string // and when another follows
}

func (b *block) width() int {
	w := 1
	for _, c := range b.widths {
		w += c
	}
	return w
}

// put adds a token to a row at a time.
func (b *block) put(id rowID, at tune.Ticks, token string) {
	if b.rows[id] == nil {
		b.rows[id] = make([][]string, len(b.times))
	}
	i, ok := slices.BinarySearch(b.times, at)
	if !ok {
		return
	}
	b.rows[id][i] = append(b.rows[id][i], token)
}

func writeSystems(out *bytes.Buffer, t *tab.Tab, width int) {
	byBar := strokesByBar(t)
	geo := steel.New(t.Rig)
	var blocks []*block
	for i := range t.Tune.Bars {
		blocks = append(blocks, layBar(t, geo, i, byBar[i]))
	}
	for i, b := range blocks {
		bar := &t.Tune.Bars[i]
		b.left = "|"
		if bar.Left.Repeat > 0 {
			b.left = "|:"
		}
		b.right = rightGlyph(bar.Right)
		b.join = b.right
		if i+1 < len(blocks) && t.Tune.Bars[i+1].Left.Repeat > 0 {
			if strings.HasSuffix(b.join, "|") {
				b.join += ":"
			} else {
				b.join += "|:"
			}
		}
	}
	margin := 0
	for _, b := range blocks {
		for id := range b.rows {
			margin = max(margin, len(id.label(t)))
		}
	}
	for s := 1; s <= len(t.Rig.Strings); s++ {
		margin = max(margin, len(rowID{stringRow, s, 0}.label(t)))
	}
	for lo := 0; lo < len(blocks); {
		hi, w := lo+1, margin+1+len(blocks[lo].left)+blocks[lo].width()
		for hi < len(blocks) {
			more := len(blocks[hi-1].join) + blocks[hi].width()
			if w+more+len(blocks[hi].right) > width {
				break
			}
			w += more
			hi++
		}
		writeSystem(out, t, blocks[lo:hi], margin)
		lo = hi
	}
}

func rightGlyph(l tune.Barline) string {
	switch {
	case l.Repeat > 0:
		return ":|"
	case l.Style == tune.DoubleBarline:
		return "||"
	case l.Style == tune.FinalBarline:
		return "|]"
	}
	return "|"
}

func strokesByBar(t *tab.Tab) [][]*tab.Stroke {
	out := make([][]*tab.Stroke, len(t.Tune.Bars))
	for i := range t.Strokes {
		if b := t.Strokes[i].BarIndex; b >= 0 && b < len(out) {
			out[b] = append(out[b], &t.Strokes[i])
		}
	}
	return out
}

func writeSystem(out *bytes.Buffer, t *tab.Tab, blocks []*block, margin int) {
	var ids []rowID
	seen := map[rowID]bool{}
	add := func(id rowID) {
		if !seen[id] {
			seen[id] = true
			ids = append(ids, id)
		}
	}
	for s := 1; s <= len(t.Rig.Strings); s++ {
		add(rowID{stringRow, s, 0})
	}
	for v := range t.Tune.Voices {
		add(rowID{rhythmRow, v, 0})
	}
	for _, b := range blocks {
		for id := range b.rows {
			add(id)
		}
	}
	inorder.Stable(ids, func(a, b rowID) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.a, b.a), cmp.Compare(a.b, b.b))
	})
	out.WriteByte('\n')
	for _, id := range ids {
		fill := " "
		if id.kind == stringRow {
			fill = "-"
		}
		var line strings.Builder
		line.WriteString(pad(id.label(t), margin+1, " "))
		barline := func(glyph string) {
			if id.kind != stringRow {
				glyph = strings.Repeat(" ", len(glyph))
			}
			line.WriteString(glyph)
		}
		barline(blocks[0].left)
		for i, b := range blocks {
			line.WriteString(fill)
			for c, w := range b.widths {
				text := ""
				if row := b.rows[id]; row != nil {
					text = strings.Join(row[c], " ")
				}
				line.WriteString(pad(text, w, fill))
			}
			if i+1 < len(blocks) {
				barline(b.join)
			} else {
				barline(b.right)
			}
		}
		out.WriteString(strings.TrimRight(line.String(), " "))
		out.WriteByte('\n')
	}
}

func pad(s string, width int, fill string) string {
	return s + strings.Repeat(fill, max(width-utf8.RuneCountInString(s), 0))
}
