// Package web is the workbench's site: pages served to a browser, and answers to
// their scripts. It holds no arithmetic of its own: workbench says what an item
// means, and the rooms above what is made of it.
//
// routes.go lists every address with who answers it; each answers one kind of
// thing (tunes, rigs, grips, lessons, …) and is given only what it needs.
// pages.go makes answers of what they give. Pages are rendered from templates/,
// each with a model of its own type; forms for scripts are those of report.
// Scripts and styles are bundled from src/ into assets/. Heavy work (arranging,
// sounding, whole lessons) runs in bounded queues; a page follows what takes long
// by server-sent events.
//
// Safety: requests must name a host we serve and come from our own pages; the
// Content-Security-Policy allows no inline script or style; bodies, archives and
// times are bounded; addresses other than this machine's own need a password.
//
// Entry points: New, Site.Handler.
package web
