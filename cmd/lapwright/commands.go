package main

import "github.com/alecthomas/kong"

// commands is the command line: one field a verb, whose type is in the file of
// that name.
type commands struct {
	Lesson  lessonCommand    `cmd:"" help:"Make a lesson: sheets, sound, files and a page for the rigs named."`
	Serve   serveCommand     `cmd:"" default:"withargs" help:"Open the workbench in the browser. This is what happens without a verb."`
	Export  exportCommand    `cmd:"" help:"Write the whole studio as a zip of plain files."`
	Import  importCommand    `cmd:"" help:"Take in a studio that export wrote."`
	Version kong.VersionFlag `help:"Print the version and leave."`
	Hear    hearCommand      `cmd:"" help:"Sound a tune on a rig and write the recording."`
}
