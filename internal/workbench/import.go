package workbench

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/report"
)

// MaxTunes is the most tunes that one import takes in.
const MaxTunes = 500

// Import is the tunes of some files, and what is doubtful or lost in them.
type Import struct {
	Pieces []notation.Piece
	Notes  []string
}

// Read adds the tunes of one file, if each is within the workbench's bounds.
func (m *Import) Read(text []byte, name string) error {
	pieces, warnings, err := notation.Read(text, name)
	if err != nil {
		return err
	}
	for i := range pieces {
		if err := within(pieces[i].Tune); err != nil {
			return err
		}
		titled(&pieces[i], name, i+1, len(pieces))
	}
	m.Pieces = append(m.Pieces, pieces...)
	for _, f := range warnings {
		m.Notes = append(m.Notes, f.Error())
	}
	for _, p := range pieces {
		for _, f := range p.Lost {
			m.Notes = append(m.Notes, f.Error())
		}
	}
	return nil
}

// titled gives a piece the title that it goes by: its own, or for one that has none
// its file's name, and its part's when the file has several parts. number is its
// place among so many of the file.
func titled(p *notation.Piece, file string, number, of int) {
	title := strings.TrimSpace(p.Tune.Title)
	if title == "" {
		title = strings.TrimSpace(strings.TrimSuffix(path.Base(file), path.Ext(file)))
		if of > 1 && p.Name == "" {
			title += " " + strconv.Itoa(number)
		}
	}
	if of > 1 && p.Name != "" && !strings.HasSuffix(title, p.Name) {
		title = strings.TrimPrefix(title+", "+p.Name, ", ")
	}
	title = TitleOf(strings.Join(strings.Fields(title), " "))
	if title == p.Tune.Title {
		return
	}
	p.Tune.Title = title
	// A title that ABC can't hold is the item's alone.
	if text, err := notation.Retitle(p.ABC, title); err == nil {
		p.ABC = text
	}
}

// Check refuses too many tunes at once.
func (m *Import) Check() error {
	if len(m.Pieces) > MaxTunes {
		return &fault.Fault{Msg: fmt.Sprintf("there are %d tunes in this; %d at a time are the most", len(m.Pieces), MaxTunes)}
	}
	return nil
}

// Offer says what came, to choose from.
func (m *Import) Offer() *report.BroughtTunes {
	out := &report.BroughtTunes{Count: len(m.Pieces), Notes: m.Notes}
	for _, p := range m.Pieces {
		out.Tunes = append(out.Tunes, report.BroughtTune{Title: p.Tune.Title, About: aboutTune(p.ABC)})
	}
	return out
}

// Choose leaves of the tunes those whose places, counted from 0, are named; all when
// none is.
func (m *Import) Choose(places []string) error {
	var out []notation.Piece
	for i, p := range m.Pieces {
		if slices.Contains(places, strconv.Itoa(i)) {
			out = append(out, p)
		}
	}
	if len(out) != len(places) {
		return &fault.Fault{Msg: "what was chosen is not in these files"}
	}
	if len(places) > 0 {
		m.Pieces = out
	}
	return nil
}

// Keep adds the tunes to a studio, in their order, and says where they are to be
// seen.
func (m *Import) Keep(ctx context.Context, st *studio.Studio) (*report.BroughtTunes, error) {
	out := &report.BroughtTunes{Go: fmt.Sprintf("/tunes?came=%d", len(m.Pieces)), Count: len(m.Pieces), Notes: m.Notes}
	// The last added is shown first, so the list is walked backwards.
	for _, p := range slices.Backward(m.Pieces) {
		it, err := st.Add(ctx, studio.Tune, studio.Content{Title: TitleOf(p.Tune.Title), Body: p.ABC}, false)
		if err != nil {
			return nil, err
		}
		if len(m.Pieces) == 1 {
			out.Go = "/tunes/" + it.ID
		}
	}
	return out, nil
}
