package web

import (
	"net/http"

	"lapwright/internal/studio"
	"lapwright/notation"
)

// homePages are the first page and what is done there.
type homePages struct {
	studio *studio.Studio
	lists  *lists
}

// homeModel is what the first page shows.
type homeModel struct {
	Demos   []row // to start with, as long as nobody has changed them
	Recent  []row
	HasDemo bool
	Endings string // of the files that can be brought
}

// first is the first page: recent work and one obvious thing to do.
func (h homePages) first(r *http.Request) (page, error) {
	recent, err := h.studio.Recent(r.Context(), 8)
	if err != nil {
		return page{}, err
	}
	rows, err := h.lists.rows(r.Context(), recent)
	if err != nil {
		return page{}, err
	}
	m := homeModel{Endings: notation.Endings() + ", .txt"}
	for _, it := range rows {
		m.HasDemo = m.HasDemo || it.Demo
		if it.Demo && it.Kind == studio.Tune && it.Revision == 1 {
			m.Demos = append(m.Demos, it)
		} else {
			m.Recent = append(m.Recent, it)
		}
	}
	return page{"home", "Lapwright", m}, nil
}

func (h homePages) removeDemo(r *http.Request) (string, error) {
	_, err := h.studio.DiscardDemo(r.Context())
	return "/", err
}
