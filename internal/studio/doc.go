// Package studio keeps a teacher's work: rigs, grips, tunes, lessons and takes in one
// SQLite file in which every save is a revision and nothing is overwritten.
//
// An Item is a thing with a kind and an identity that survives export; its
// content is a body of plain text (TOML for rigs, ABC for tunes, JSON for the
// rest) with an extra JSON object of settings beside it. Save names the
// revision it was made from, and is refused with a Conflict when another save
// came first. Undo and Redo move along revisions, Restore copies an old one to
// the front, Discard puts an item in the trash and Recover takes it out.
//
// The sound of takes lies beside it, a file each (sound.go).
//
// Times are UTC, to the millisecond. The schema and its steps are in sql/; how
// bodies and settings are written, and how earlier ways are brought up to date,
// is in form/.
//
// Entry points: Open, OpenKept, Claim, PutBack, Studio.Add, Studio.Save,
// Studio.Export, Studio.Import, Sounds.Keep.
package studio
