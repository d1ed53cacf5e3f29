package review

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"

	"lapwright/internal/lesson"
	"lapwright/listen/picture"
)

//go:embed page/review.html
var pageText string

//go:embed page/review.js
var pageScript string

//go:embed page/review.css
var pageStyle string

var pageTemplate = template.Must(template.Must(template.New("review").Parse(pageText)).Parse(Parts))

// pageModel is what the template is given.
type pageModel struct {
	Policy string
	Style  template.CSS
	Script template.JS
	Title  string
	About  []string
	Words  template.HTML
	View   *View
	Sound  template.URL
}

// Page returns the review as one HTML page; stream is the take's sound as Ogg Opus.
func (r *Review) Page(stream []byte) ([]byte, error) {
	p := &r.plan
	m := pageModel{
		Style: template.CSS(pageStyle), Script: template.JS(pageScript), Title: p.title(), View: r.View(),
		Sound: template.URL("data:audio/ogg;base64," + base64.StdEncoding.EncodeToString(stream)),
		// Exactly our script and style, whatever a title or a teacher's words may hold.
		Policy: fmt.Sprintf("default-src 'none'; script-src 'sha256-%s'; style-src 'sha256-%s'; font-src data:; img-src data:; media-src data:; base-uri 'none'; form-action 'none'", digest(pageScript), digest(pageStyle)),
	}
	var err error
	if m.Words, err = lesson.WordsHTML(p.Words); err != nil {
		return nil, err
	}
	for _, s := range []string{p.About, p.Tab.Rig.Title, picture.Summary(p.Reviewed)} {
		if s != "" {
			m.About = append(m.About, s)
		}
	}
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, m); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return base64.StdEncoding.EncodeToString(sum[:])
}
