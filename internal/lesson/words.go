package lesson

import (
	"bytes"
	"html/template"
	"strconv"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/renderer/html"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"lapwright/sheet"
)

// reader reads a teacher's words as CommonMark 0.31 (commonmark.org). HTML in
// them is left out, and so are addresses that would run a script: the writer's
// default, which a test holds. A line's end is kept as it was typed.
var reader = goldmark.New(goldmark.WithRendererOptions(html.WithHardWraps()))

// parse reads words. A picture, which the page could not show without a network,
// becomes its own description.
func parse(words string) (ast.Node, []byte) {
	src := []byte(words)
	doc := reader.Parser().Parse(text.NewReader(src))
	var pictures []ast.Node
	ast.Walk(doc, func(n ast.Node, in bool) (ast.WalkStatus, error) {
		if in && n.Kind() == ast.KindImage {
			pictures = append(pictures, n)
		}
		return ast.WalkContinue, nil
	})
	for _, p := range pictures {
		parent := p.Parent()
		for c := p.FirstChild(); c != nil; c = p.FirstChild() {
			p.RemoveChild(p, c)
			parent.InsertBefore(parent, p, c)
		}
		parent.RemoveChild(parent, p)
	}
	// The page's own headings come before the words': theirs begin at the second level.
	ast.Walk(doc, func(n ast.Node, in bool) (ast.WalkStatus, error) {
		if h, ok := n.(*ast.Heading); ok && in {
			h.Level = min(h.Level+1, 6)
		}
		return ast.WalkContinue, nil
	})
	return doc, src
}

// WordsHTML returns a teacher's words, in CommonMark, as they stand in a page.
func WordsHTML(words string) (template.HTML, error) {
	if strings.TrimSpace(words) == "" {
		return "", nil
	}
	doc, src := parse(words)
	var out bytes.Buffer
	if err := reader.Renderer().Render(&out, src, doc); err != nil {
		return "", err
	}
	return template.HTML(out.String()), nil
}

// Passages returns a teacher's words, in CommonMark, as they are printed.
func Passages(words string) []sheet.Passage {
	doc, src := parse(words)
	p := &printer{src: src}
	p.blocks(doc, 0, "")
	return p.out
}

// printer turns read words into passages.
type printer struct {
	src []byte
	out []sheet.Passage
}

// blocks adds the blocks below a node; mark goes before the first of them.
func (p *printer) blocks(parent ast.Node, indent int, mark string) {
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.List:
			number := n.Start
			for item := n.FirstChild(); item != nil; item = item.NextSibling() {
				m := "•"
				if n.IsOrdered() {
					m = strconv.Itoa(number) + "."
					number++
				}
				p.blocks(item, indent+1, m)
			}
		case *ast.Blockquote:
			p.blocks(n, indent+1, "")
		case *ast.ThematicBreak, *ast.HTMLBlock:
		case *ast.CodeBlock, *ast.FencedCodeBlock:
			for i := range n.Lines().Len() {
				line := n.Lines().At(i)
				p.out = append(p.out, sheet.Passage{Indent: indent, Close: i > 0, Runs: []sheet.Run{{Text: strings.TrimRight(string(line.Value(p.src)), "\n")}}})
			}
		default:
			out := sheet.Passage{Indent: indent, Mark: mark}
			if h, ok := n.(*ast.Heading); ok {
				out.Head = h.Level
			}
			_, out.Close = n.(*ast.TextBlock) // in a list without blank lines
			p.runs(n, sheet.Run{}, &out.Runs)
			p.out = append(p.out, out)
		}
		mark = ""
	}
}

// runs adds what stands in a line, in the style that holds around it.
func (p *printer) runs(parent ast.Node, style sheet.Run, out *[]sheet.Run) {
	add := func(s string) {
		style.Text = s
		*out = append(*out, style)
	}
	for n := parent.FirstChild(); n != nil; n = n.NextSibling() {
		switch n := n.(type) {
		case *ast.Text:
			add(unescape(string(n.Segment.Value(p.src))))
			if n.SoftLineBreak() || n.HardLineBreak() {
				*out = append(*out, sheet.Run{Break: true})
			}
		case *ast.String:
			add(string(n.Value))
		case *ast.AutoLink:
			add(string(n.URL(p.src)))
		case *ast.RawHTML:
		case *ast.Emphasis:
			inner := style
			inner.Italic = inner.Italic || n.Level == 1
			inner.Bold = inner.Bold || n.Level > 1
			p.runs(n, inner, out)
		default:
			p.runs(n, style, out)
		}
	}
}

// unescape undoes backslashes and names of letters, which the page's writer does
// for itself.
func unescape(s string) string {
	b := util.UnescapePunctuations([]byte(s))
	return string(util.ResolveEntityNames(util.ResolveNumericReferences(b)))
}
