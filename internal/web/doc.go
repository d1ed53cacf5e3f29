// Package web is the workbench: pages served to a browser from the studio and
// the rooms above it. It holds no arithmetic of its own.
//
// Handler gives the whole site. Pages live at /, /rigs, /grips, /tunes and
// /lessons; they are rendered from templates/, with scripts and styles bundled
// from src/ into assets/. Heavy work (arranging, sounding, whole lessons) runs
// in a bounded queue whose progress a page follows by server-sent events.
//
// Safety: requests must name a host we serve and come from our own pages; the
// Content-Security-Policy allows no inline script or style; bodies, archives and
// times are bounded; addresses other than this machine's own need a password.
//
// Entry points: New, Site.Handler.
package web
