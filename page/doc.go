// Package page is the part of a lesson's page that thinks: what the page carries,
// and the answers that the core gives it in the student's browser.
//
// A page carries a lesson as one text (Carry, docs/formats/page.md): the tune, the
// teacher's wishes and the teacher's own tabs. Answer takes one question of the
// page (report.Asked) and gives one answer, the same bytes on every machine;
// cmd/lapwright-page carries both between the page and this room.
//
// Entry points: Carry, Open, Options, Lesson.Answer, Lesson.AnswerSheetFirst, Stage.Begin, Placed, Screen.
package page
