package musicxml

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
	"unicode/utf16"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
)

// node is one element with what is in it.
type node struct {
	name      string
	text      string // its own text, spaces trimmed at the ends
	attrs     []xml.Attr
	kids      []*node
	line, col int
}

func (n *node) attr(name string) string {
	for i := range n.attrs {
		if n.attrs[i].Name.Local == name {
			return n.attrs[i].Value
		}
	}
	return ""
}

// kid returns the first child of that name, or nil.
func (n *node) kid(name string) *node {
	for _, k := range n.kids {
		if k.name == name {
			return k
		}
	}
	return nil
}

// value returns the text of the first child of that name, or "".
func (n *node) value(name string) string {
	if k := n.kid(name); k != nil {
		return k.text
	}
	return ""
}

// source reads the elements of a score one after another.
type source struct {
	file  string
	d     *xml.Decoder
	count int // elements in the subtree being read
	// What saves a twentieth of the time, the XML library's own included:
	nodes []node            // taken one by one, so that they are made many at a time
	texts map[string]string // short texts, which come again and again
}

// node returns a new node.
func (s *source) node(name string, line, col int) *node {
	if len(s.nodes) == 0 {
		s.nodes = make([]node, 64)
	}
	n := &s.nodes[0]
	s.nodes = s.nodes[1:]
	n.name, n.line, n.col = name, line, col
	return n
}

// text returns what the decoder has in its hands for now. Short texts are kept, as many
// as a file of the usual kind has, and given again.
func (s *source) text(b []byte) string {
	if len(b) > 24 {
		return string(b)
	}
	if t, ok := s.texts[string(b)]; ok {
		return t
	}
	t := string(b)
	if len(s.texts) < 500 {
		if s.texts == nil {
			s.texts = map[string]string{}
		}
		s.texts[t] = t
	}
	return t
}

func (s *source) fail(line, col int, format string, args ...any) error {
	return &fault.Fault{File: s.file, Line: line, Col: col, Msg: fmt.Sprintf(format, args...)}
}

// broken makes an error of the XML parser our own, with its place.
func (s *source) broken(err error) error {
	line, col := s.d.InputPos()
	var syntax *xml.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return s.fail(line, col, "the XML is broken: %s", strings.ToLower(syntax.Msg[:1])+syntax.Msg[1:])
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return s.fail(line, col, "the XML ends before the score does")
	}
	return s.fail(line, col, "the XML can't be read: %v", err)
}

// open readies a score for reading: unpacks a compressed file, finds the
// encoding.
func open(src []byte, file string) (*source, error) {
	if len(src) == 0 {
		return nil, &fault.Fault{File: file, Msg: "the file is empty"}
	}
	if bytes.HasPrefix(src, []byte("PK\x03\x04")) {
		var err error
		if src, err = unpack(src, file); err != nil {
			return nil, err
		}
	}
	if len(src) > terms.MaxBytes {
		return nil, &fault.Fault{File: file, Msg: fmt.Sprintf("the score is over %d MB, the most that is read", terms.MaxBytes>>20)}
	}
	wide := false
	switch {
	case bytes.HasPrefix(src, []byte{0xFE, 0xFF}):
		src, wide = fromUTF16(src[2:], binary.BigEndian), true
	case bytes.HasPrefix(src, []byte{0xFF, 0xFE}):
		src, wide = fromUTF16(src[2:], binary.LittleEndian), true
	case bytes.HasPrefix(src, []byte{0xEF, 0xBB, 0xBF}):
		src = src[3:]
	}
	if t := bytes.TrimLeft(src, " \t\r\n"); len(t) == 0 || t[0] != '<' {
		return nil, &fault.Fault{File: file, Line: 1, Col: 1, Msg: "this is no XML: the first character is not \"<\""}
	}
	if err := checkTokens(src, file); err != nil {
		return nil, err
	}
	s := &source{file: file, d: xml.NewDecoder(bytes.NewReader(src))}
	s.d.CharsetReader = func(name string, r io.Reader) (io.Reader, error) {
		switch strings.ToLower(name) {
		case "utf-16", "utf-16le", "utf-16be":
			if wide {
				return r, nil
			}
		case "us-ascii", "ascii":
			return r, nil
		case "iso-8859-1", "latin1", "windows-1252":
			return &latin1{r: r}, nil
		}
		return nil, fmt.Errorf("the encoding %q is not read", name)
	}
	return s, nil
}

// checkTokens refuses a tag, text or comment of absurd length, for the XML
// parser would hold several copies of it.
func checkTokens(src []byte, file string) error {
	at := 0
	for at < len(src) {
		end, rest := 0, src[at:]
		if len(rest) > 1 && rest[0] == '<' && strings.IndexByte("<> \t\r\n=&", rest[1]) >= 0 {
			return nil // no markup: the parser says so when it comes here
		}
		switch {
		case bytes.HasPrefix(rest, []byte("<!--")):
			end = bytes.Index(rest, []byte("-->"))
		case bytes.HasPrefix(rest, []byte("<![CDATA[")):
			end = bytes.Index(rest, []byte("]]>"))
		case bytes.HasPrefix(rest, []byte("<?")):
			end = bytes.Index(rest, []byte("?>"))
		default:
			end = bytes.IndexByte(rest[1:], '<')
		}
		if end < 0 {
			end = len(rest) - 1
		}
		if end > terms.MaxToken {
			line := 1 + bytes.Count(src[:at], []byte("\n"))
			return &fault.Fault{File: file, Line: line, Col: at - bytes.LastIndexByte(src[:at], '\n'), Msg: fmt.Sprintf("one tag, text or comment is longer than %d bytes", terms.MaxToken)}
		}
		at += end + 1
	}
	return nil
}

func fromUTF16(b []byte, order binary.ByteOrder) []byte {
	var out bytes.Buffer
	out.Grow(len(b) / 2)
	for i := 0; i+1 < len(b); i += 2 {
		r := rune(order.Uint16(b[i:]))
		if utf16.IsSurrogate(r) && i+3 < len(b) {
			r = utf16.DecodeRune(r, rune(order.Uint16(b[i+2:])))
			i += 2
		}
		out.WriteRune(r)
	}
	return out.Bytes()
}

// latin1 turns Latin-1 into UTF-8.
type latin1 struct {
	r    io.Reader
	rest []byte
}

func (l *latin1) Read(p []byte) (int, error) {
	if len(l.rest) == 0 {
		var buf [1024]byte
		n, err := l.r.Read(buf[:])
		for _, c := range buf[:n] {
			l.rest = append(l.rest, string(rune(c))...)
		}
		if n == 0 {
			return 0, err
		}
	}
	n := copy(p, l.rest)
	l.rest = l.rest[n:]
	return n, nil
}

// unpack finds the score in a compressed MusicXML file: the first rootfile that
// META-INF/container.xml names. Nothing is written anywhere; a name that
// would lead out of the archive is refused all the same.
func unpack(src []byte, file string) ([]byte, error) {
	fail := func(format string, args ...any) error {
		return &fault.Fault{File: file, Msg: fmt.Sprintf(format, args...)}
	}
	z, err := zip.NewReader(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		return nil, fail("the compressed file is broken: %v", err)
	}
	if len(z.File) > terms.MaxEntries {
		return nil, fail("the compressed file has more than %d entries", terms.MaxEntries)
	}
	read := func(name string) ([]byte, error) {
		for _, f := range z.File {
			if f.Name != name {
				continue
			}
			if f.UncompressedSize64 > terms.MaxBytes {
				return nil, fail("%q unpacks to over %d MB, the most that is read", name, terms.MaxBytes>>20)
			}
			r, err := f.Open()
			if err != nil {
				return nil, fail("%q can't be unpacked: %v", name, err)
			}
			defer r.Close()
			b, err := io.ReadAll(io.LimitReader(r, terms.MaxBytes+1))
			if err != nil {
				return nil, fail("%q can't be unpacked: %v", name, err)
			}
			if len(b) > terms.MaxBytes {
				return nil, fail("%q unpacks to over %d MB, the most that is read", name, terms.MaxBytes>>20)
			}
			return b, nil
		}
		return nil, fail("the compressed file has no %q", name)
	}
	b, err := read("META-INF/container.xml")
	if err != nil {
		return nil, err
	}
	s := &source{file: file + ": META-INF/container.xml", d: xml.NewDecoder(bytes.NewReader(b))}
	root, err := s.root()
	if err != nil {
		return nil, err
	}
	container, err := s.tree(root, 1)
	if err != nil {
		return nil, err
	}
	var name string
	if files := container.kid("rootfiles"); files != nil {
		for _, k := range files.kids {
			kind := k.attr("media-type")
			if k.name == "rootfile" && (kind == "" || strings.Contains(kind, "musicxml")) {
				name = k.attr("full-path")
				break
			}
		}
	}
	if name == "" {
		return nil, fail("the container of the compressed file names no score")
	}
	if path.IsAbs(name) || strings.Contains(name, "\\") || path.Clean(name) != name || strings.HasPrefix(name, "..") {
		return nil, fail("the container names the score %q, which leads out of the file", name)
	}
	return read(name)
}

// root finds the root element.
func (s *source) root() (*node, error) {
	for {
		line, col := s.d.InputPos()
		tok, err := s.d.Token()
		if err != nil {
			return nil, s.broken(err)
		}
		switch t := tok.(type) {
		case xml.StartElement:
			return &node{name: t.Name.Local, attrs: t.Attr, line: line, col: col}, nil
		case xml.Directive:
			// A document type is fine; one with declarations of its own could
			// define entities, and those are never looked at.
			if bytes.Contains(t, []byte("[")) || bytes.Contains(t, []byte("<!")) {
				return nil, s.fail(line, col, "the document type has declarations of its own, which are not read")
			}
		}
	}
}

// next returns the next child of the element in hand, without what is in it; nil
// at the element's end.
func (s *source) next() (*node, error) {
	for {
		line, col := s.d.InputPos()
		tok, err := s.d.Token()
		if err != nil {
			return nil, s.broken(err)
		}
		switch t := tok.(type) {
		case xml.StartElement:
			s.count = 0
			return &node{name: t.Name.Local, attrs: t.Attr, line: line, col: col}, nil
		case xml.EndElement:
			return nil, nil
		}
	}
}

// tree reads what is in an element.
func (s *source) tree(n *node, depth int) (*node, error) {
	if depth > terms.MaxDepth {
		return nil, s.fail(n.line, n.col, "elements lie more than %d deep", terms.MaxDepth)
	}
	for {
		line, col := s.d.InputPos()
		tok, err := s.d.Token()
		if err != nil {
			return nil, s.broken(err)
		}
		switch t := tok.(type) {
		case xml.StartElement:
			if s.count += 1 + len(t.Attr); s.count > terms.MaxElements {
				return nil, s.fail(line, col, "one measure or header has more than %d elements", terms.MaxElements)
			}
			k := s.node(t.Name.Local, line, col)
			if len(t.Attr) > 0 {
				k.attrs = t.Attr
			}
			if k, err = s.tree(k, depth+1); err != nil {
				return nil, err
			}
			if n.kids == nil {
				n.kids = make([]*node, 0, 8) // a note has as many
			}
			n.kids = append(n.kids, k)
		case xml.CharData:
			if len(n.kids) == 0 || len(bytes.TrimSpace(t)) > 0 {
				n.text += s.text(t)
			}
		case xml.EndElement:
			if len(n.kids) > 0 || strings.TrimSpace(n.text) != "" {
				n.text = strings.TrimSpace(n.text)
			}
			return n, nil
		}
	}
}

// skip passes over what is in an element, however deep.
func (s *source) skip() error {
	if err := s.d.Skip(); err != nil {
		return s.broken(err)
	}
	return nil
}
