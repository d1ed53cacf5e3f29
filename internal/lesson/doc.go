// Package lesson makes one lesson out of a tune, rigs and a teacher's words: a
// folder, a zip, or a single page that opens from disk without server or
// network.
//
// Make arranges, draws and sounds the tune for every rig, several at a time.
// What comes out holds for each rig a folder of its name with sheet.pdf,
// sheet.svg, tab.txt, tab.musicxml, tab.mid and audio.flac, and for the lot
// index.html, which carries its sheets, styles, script and (compressed) sound
// inside itself, and lesson.json, which says what was made.
//
// Entry points: Make, Lesson.WriteFolder, Lesson.WriteZip, Lesson.Page, Demos.
package lesson
