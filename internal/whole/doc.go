// Package whole puts files and folders on disk whole or not at all: each is
// built beside its place, flushed, and then renamed into it.
//
// A reader of the place sees the old content or the new, never half of one. A
// process that is interrupted calls Sweep, which removes what was being built.
//
// What systems rule differently about files stands behind one small interface
// (system), which tests play.
//
// Entry points: WriteFile, NewFile, NewFolder, Sweep, TakeLock, Hold, Why. It
// imports nothing of ours.
package whole
