package web

import "net/http"

// route names who answers each address. A page is shown, an answer is JSON for a
// script, and what keeps or changes something leads on to a page.
func (s *Site) route(m *http.ServeMux) {
	p := s.pages
	m.HandleFunc("GET /{$}", p.shows(s.home.first))
	m.HandleFunc("GET /licences", p.shows(licencesPage))
	m.HandleFunc("GET /assets/{file...}", p.answer(s.assets.serve))
	m.HandleFunc("POST /look", p.answer(keepLook))
	m.HandleFunc("POST /demo/remove", p.leads(s.home.removeDemo))
	m.HandleFunc("GET /signin", p.shows(s.door.signInPage))
	m.HandleFunc("POST /signin", p.answer(s.door.signIn))
	m.HandleFunc("POST /signout", p.answer(s.door.signOut))

	m.HandleFunc("GET /rigs", p.shows(s.rigs.list))
	m.HandleFunc("POST /rigs", p.leads(s.rigs.add))
	m.HandleFunc("GET /rigs/new", p.shows(s.rigs.fresh))
	m.HandleFunc("POST /rigs/new", p.answer(s.rigs.make))
	m.HandleFunc("POST /rigs/draft", p.answers(s.rigs.draft))
	m.HandleFunc("GET /rigs/{id}", p.shows(s.rigs.one))
	m.HandleFunc("POST /rigs/check", p.answers(s.rigs.check))
	m.HandleFunc("POST /rigs/edit", p.answers(s.rigs.edit))
	m.HandleFunc("GET /rigs/{id}/card/{name}", p.answer(s.rigs.card))
	m.HandleFunc("GET /rigs/{id}/retune", p.shows(s.tunings.retune))
	m.HandleFunc("POST /rigs/{id}/retune", p.leads(s.tunings.keep))
	m.HandleFunc("GET /rigs/{id}/compare", p.shows(s.tunings.compare))
	m.HandleFunc("GET /rigs/{id}/strings", p.shows(s.tunings.strings))
	m.HandleFunc("GET /rigs/{id}/pegs", p.shows(s.tunings.pegs))
	m.HandleFunc("GET /rigs/{id}/tone", p.answer(s.tunings.tone))

	m.HandleFunc("GET /grips", p.shows(s.grips.list))
	m.HandleFunc("POST /grips", p.leads(s.grips.keep))
	m.HandleFunc("POST /grips/name", p.answers(s.grips.name))
	m.HandleFunc("GET /grips/neck", p.answers(s.grips.neck))
	m.HandleFunc("GET /grips/sound", p.answer(s.grips.hear))
	m.HandleFunc("GET /grips/{id}", p.shows(s.grips.one))

	m.HandleFunc("GET /tunes", p.shows(s.tunes.list))
	m.HandleFunc("POST /tunes", p.answer(s.tunes.bring))
	m.HandleFunc("POST /tunes/begin", p.leads(s.tunes.begin))
	m.HandleFunc("GET /tunes/{id}", p.shows(s.tunes.one))
	m.HandleFunc("GET /tunes/{id}/shown", p.answers(s.tabs.shown))
	m.HandleFunc("GET /tunes/{id}/choices", p.answers(s.tabs.choices))
	m.HandleFunc("GET /tunes/{id}/words", p.answers(s.tabs.words))
	m.HandleFunc("GET /tunes/{id}/sheet", p.answers(s.tabs.sheet))
	m.HandleFunc("GET /tunes/{id}/rank", p.answers(s.tabs.rank))
	m.HandleFunc("GET /tunes/{id}/sound", p.answer(s.tabs.sound))
	m.HandleFunc("GET /tunes/{id}/file/{name}", p.answer(s.tabs.file))
	m.HandleFunc("POST /tunes/note", p.answers(s.writing.note))
	m.HandleFunc("POST /tunes/tab", p.answers(s.writing.tab))
	m.HandleFunc("POST /tunes/file", p.answer(s.writing.file))
	m.HandleFunc("POST /tunes/check", p.answers(s.writing.check))

	m.HandleFunc("GET /lessons", p.shows(s.lessons.list))
	m.HandleFunc("POST /lessons", p.leads(s.lessons.begin))
	m.HandleFunc("GET /lessons/{id}", p.shows(s.lessons.one))
	m.HandleFunc("GET /lessons/{id}/page", p.answer(s.lessons.preview))
	m.HandleFunc("GET /lessons/{id}/handout.pdf", p.answer(s.lessons.handout))
	m.HandleFunc("POST /lessons/{id}/make/{what}", p.answer(s.lessons.make))
	m.HandleFunc("GET /jobs/{id}/progress", p.answer(s.jobs.follow))
	m.HandleFunc("GET /jobs/{id}/file", p.answer(s.jobs.fetch))
	m.HandleFunc("POST /jobs/{id}/cancel", p.answer(s.jobs.cancel))

	m.HandleFunc("POST /items/{id}/save", p.answers(s.items.save))
	m.HandleFunc("POST /items/{id}/{move}", p.answer(s.items.move))
	m.HandleFunc("GET /items/{id}/revisions", p.shows(s.items.revisions))
	m.HandleFunc("GET /trash", p.shows(s.items.trash))
	m.HandleFunc("GET /studio/export", p.answer(s.archive.export))
	m.HandleFunc("POST /studio/import", p.leads(s.archive.bring))
	m.HandleFunc("/", p.answer(elsewhere(m)))
}
