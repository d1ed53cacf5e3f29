package lesson

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"lapwright/internal/lesson/module"
	"lapwright/internal/take"
	"lapwright/page"
	"lapwright/report"
	"lapwright/say"
	"lapwright/sound"
)

//go:embed page/page.html
var pageText string

//go:embed page/page.js
var pageScript string

//go:embed page/coreworker.js
var coreScript string

//go:embed page/page.css
var pageStyle string

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{"pretty": pretty}).Parse(pageText))

// accidental is one in the name of a pitch or a key.
var accidental = regexp.MustCompile(`\b([A-G])(##|bb|#|b)([^a-z]|$)`)

// pretty gives names of pitches and keys the signs that are printed everywhere: F♯4 for F#4.
func pretty(names string) string {
	signs := map[string]string{"#": "♯", "##": "𝄪", "b": "♭", "bb": "𝄫"}
	return accidental.ReplaceAllStringFunc(names, func(name string) string {
		parts := accidental.FindStringSubmatch(name)
		return parts[1] + signs[parts[2]] + parts[3]
	})
}

// unscripted shows, where no script unpacks the narrow sheets, the wide ones on small screens too.
const unscripted = ".wide-sheet { display: block !important } .narrow-sheet { display: none !important }"

// mostPlain is up to how many bytes of wide sheets stand plain in a page, for readers without
// scripts: all of a usual lesson's, and of a long one's at least the first instrument's.
const mostPlain = 750_000

// pageModel is what the template is given.
type pageModel struct {
	ID         string
	Policy     string
	Capture    string // the file of the worklet that records; "" for none
	Style      template.CSS
	Unscripted template.CSS // what else holds where no script runs
	Script     template.JS
	Title      string
	Tune       string
	About      string
	Words      template.HTML
	Parts      []pageEdition
	Missing    []report.Missing
	Files      []pageFile // for all instruments together
	Beside     bool       // the other files lie beside the page
	Caution    string
	Lesson     template.JS // packed
	HasSound   bool
	Bands      []pageBytes // what plays along, each once
	Keep       string      // the script that keeps a hosted lesson on the device; "" for none
	SheetNote  string
	Core       *pageCore // nil leaves the core out
	// Handout is the words and sheets for paper, inside a page that has no file beside it.
	Handout template.HTMLAttr
}

// pageCore is the core as a page carries it.
type pageCore struct {
	Carried template.JS // packed
	Script  template.HTML
	Program pageBytes // packed
}

// pageBytes are bytes that a page carries, as base64 in pieces, or that stand in a file beside it.
type pageBytes struct {
	Pieces []template.HTML
	File   string
}

// mostAtOnce is of how many characters a piece is: a browser reads one without doing anything else.
const mostAtOnce = 64 << 10

// inPage has a page carry bytes.
func inPage(b []byte) pageBytes {
	var out pageBytes
	for piece := range slices.Chunk([]byte(inBase64(b)), mostAtOnce) {
		out.Pieces = append(out.Pieces, template.HTML(piece))
	}
	return out
}

type pageEdition struct {
	report.Summary
	Label                     string        // what it is called among the others
	Pages                     template.HTML // the wide sheet, where it stands plain; else it stands packed
	PackedPages, PackedNarrow template.HTML
	Range                     string
	Moved                     string
	Sound                     pageBytes
	HasSound                  bool
	Band                      string // the element that holds what plays along; "" for none
	SheetFile                 string
	Files                     []pageFile
	Told                      report.InWords
	Effort                    string // what the points of difficulty mean
}

type pageFile struct{ Name, Label string }

// effort is the scale on which difficulty is told.
const effort = "0 is free, 10 is hard work"

// fileLabels says what each file is to a person.
var fileLabels = map[string]string{
	"sheet.pdf": "sheet to print (PDF)", "tab.txt": "tab as text", "tell.txt": "tab in words", "tab.musicxml": "MusicXML", "tab.mid": "MIDI",
	"audio.flac": "sound (FLAC)", "audio.wav": "sound (WAV)",
}

// Page returns the lesson as one HTML page that needs nothing beside it. When
// beside is true it also links to the other files of the folder.
func (l *Lesson) Page(beside bool) ([]byte, error) {
	return l.page(beside, l.Policy(), "", "", func(_, _ string, b []byte) pageBytes { return inPage(b) })
}

// page writes the page under a policy, with the script that keeps it and the worklet that records. put says for what is
// called name, and ends in ext as a file, how the page comes by it.
func (l *Lesson) page(beside bool, policy, keep, capture string, put func(name, ext string, b []byte) pageBytes) ([]byte, error) {
	m := pageModel{
		Policy: policy, Keep: keep, Capture: capture,
		Style: template.CSS(pageStyle), Unscripted: unscripted, Script: template.JS(pageScript),
		ID: l.ID, Title: l.Title, Beside: beside, Caution: sound.Caution, Missing: l.Missing,
	}
	var err error
	if m.Words, err = WordsHTML(l.Words); err != nil {
		return nil, err
	}
	if beside {
		m.Files = []pageFile{{"handout.pdf", "Handout to print (PDF)"}}
	} else if len(l.handout) > 0 {
		m.Handout = template.HTMLAttr(`href="data:application/pdf;base64,` + string(inBase64(l.handout)) + `"`)
	}
	if l.Tune.Title != l.Title {
		m.Tune = l.Tune.Title
	}
	m.About = about(l)
	var shown []report.Tab
	plain := 0
	for _, p := range l.Editions {
		part := pageEdition{Summary: p.Summary, Label: p.title(), Range: frets(p.Summary), Moved: say.MovedBy(p.Summary.Transposed), HasSound: len(p.stream) > 0, Told: page.InWords(p.Result.Tab), Effort: effort}
		wide := papers(p.Pages...)
		if plain += len(wide); len(m.Parts) == 0 || plain <= mostPlain {
			part.Pages = template.HTML(wide)
		} else {
			part.PackedPages = packed(wide)
		}
		part.PackedNarrow = packed(papers(p.Narrow))
		if part.HasSound {
			part.Sound = put("sound", ".opus", p.stream)
		}
		m.HasSound = m.HasSound || part.HasSound
		if p.band != nil {
			part.Band = m.join(put("band", ".opus", p.band))
		}
		for _, f := range p.files {
			if label, ok := fileLabels[strings.TrimPrefix(f.Name, p.folder())]; ok && beside {
				part.Files = append(part.Files, pageFile{f.Name, label})
			}
		}
		m.Parts = append(m.Parts, part)
		tab := report.TabOf(p.Result.Tab, p.Timing)
		tab.Title = p.title()
		if p.Backup != nil {
			tab.Part = p.Summary.Part
		}
		shown = append(shown, tab)
	}
	b, err := json.Marshal(shown)
	if err != nil {
		return nil, err
	}
	m.Lesson = template.JS(packed(b))
	if m.Core, err = l.core(put("lapwright", ".bin", module.Packed())); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, m); err != nil {
		return nil, err
	}
	return inASCII(out.Bytes()), nil
}

// inASCII returns the page with each character beyond ASCII as its number (WHATWG, HTML, section 13.1.4): browsers
// decode a piece of a page in which there is one several times as slowly, and hold all of it in twice the room.
// Scripts and styles, in which a number would stand for itself, have none.
func inASCII(page []byte) []byte {
	var out bytes.Buffer
	out.Grow(len(page) + len(page)/64)
	for _, r := range string(page) {
		if r < utf8.RuneSelf {
			out.WriteByte(byte(r))
		} else {
			fmt.Fprintf(&out, "&#%d;", r)
		}
	}
	return out.Bytes()
}

// join takes what plays along into the page, if it is not there yet, and returns the name of what holds it.
func (m *pageModel) join(band pageBytes) string {
	i := slices.IndexFunc(m.Bands, func(b pageBytes) bool { return b.File == band.File && slices.Equal(b.Pieces, band.Pieces) })
	if i < 0 {
		i = len(m.Bands)
		m.Bands = append(m.Bands, band)
	}
	return fmt.Sprintf("band-%d", i)
}

// papers returns the drawings, each on its paper, as HTML.
func papers(drawings ...[]byte) []byte {
	var out bytes.Buffer
	for _, svg := range drawings {
		fmt.Fprintf(&out, "<div class=\"paper\">\n%s</div>\n", svg)
	}
	return out.Bytes()
}

// packed returns what the page's script unpacks.
func packed(plain []byte) template.HTML { return inBase64(module.Pack(plain)) }

func inBase64(b []byte) template.HTML {
	return template.HTML(base64.StdEncoding.EncodeToString(b))
}

// core returns what the page needs to place, sound and hear by itself.
func (l *Lesson) core(program pageBytes) (*pageCore, error) {
	var parts []page.Part
	for _, p := range l.Editions {
		parts = append(parts, page.Part{Tab: p.Result.Tab, Sheet: p.drawnAs, Gain: p.gain})
	}
	carried, err := page.Carry(l.Tune, l.wishes, parts, take.Digest)
	if err != nil {
		return nil, err
	}
	return &pageCore{
		Carried: template.JS(packed(carried)), Script: template.HTML(coreScript), Program: program,
	}, nil
}

// Policy is the page's Content-Security-Policy: the browser runs exactly our
// script, the program that it carries, and applies exactly our style, whatever a title or a teacher's words
// may contain.
func (l *Lesson) Policy() string { return l.policy("", "") }

// hostedPolicy lets a page bring files from its host, have a script there keep it and another record.
func (l *Lesson) hostedPolicy() string {
	return l.policy(" 'self'", " 'self'") + "; connect-src 'self'"
}

// policy is the page's with further sources of scripts, which worklets are counted among (W3C, Content Security
// Policy Level 3, section 6.8.1), and of workers.
func (l *Lesson) policy(scripts, workers string) string {
	return fmt.Sprintf("default-src 'none'; script-src 'sha256-%s' 'wasm-unsafe-eval'%s; style-src 'sha256-%s' 'sha256-%s'; font-src data:; img-src data:; worker-src blob:%s; base-uri 'none'; form-action 'none'",
		digest(pageScript), scripts, digest(pageStyle), digest(unscripted), workers)
}

// shortDigest names what it is of: the first twelve letters of its SHA-256, in hex.
func shortDigest(b []byte) string {
	return take.Digest(b)[:12]
}

func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return base64.StdEncoding.EncodeToString(sum[:])
}

// about is the line under the title.
func about(l *Lesson) string {
	var parts []string
	if l.Tune.Rhythm != "" {
		parts = append(parts, l.Tune.Rhythm)
	}
	if c := l.Tune.Composer; c != "" {
		parts = append(parts, c)
	}
	if len(l.Tune.Bars) > 0 {
		if m := l.Tune.Bars[0].Meter; m.Beats > 0 {
			parts = append(parts, fmt.Sprintf("%d/%d time", m.Beats, m.Unit))
		}
		parts = append(parts, say.Count(l.Tune.CountBars(), "bar"))
	}
	return strings.Join(parts, " · ")
}

// frets says the range of bar positions in words.
func frets(s report.Summary) string {
	if s.HighFret == 0 {
		return "open strings only"
	}
	return fmt.Sprintf("%s to %s", fret(s.LowFret), fret(s.HighFret))
}

func fret(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }
