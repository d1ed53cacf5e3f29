package web

import (
	"net/http"

	"lapwright/internal/notices"
)

// licencesPage says what the program is made of and under which licences.
func (s *Site) licencesPage(w http.ResponseWriter, r *http.Request) {
	s.page(w, r, http.StatusOK, "licences", "Licences", notices.Parts())
}
