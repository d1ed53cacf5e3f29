package web

import (
	"net/http"

	"lapwright/internal/notices"
)

// licencesPage says what the program is made of and under which licences.
func licencesPage(*http.Request) (page, error) {
	return page{"licences", "Licences", notices.Notices()}, nil
}
