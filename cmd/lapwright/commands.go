package main

import "github.com/alecthomas/kong"

// commands is the command line: one field a verb, whose type is in the file of
// that name.
type commands struct {
	Lesson     lessonCommand     `cmd:"" help:"Make a lesson: sheets, sound, files and a page for the rigs named."`
	Serve      serveCommand      `cmd:"" default:"withargs" help:"Open the workbench in the browser. This is what happens without a verb."`
	Export     exportCommand     `cmd:"" help:"Write the whole studio as a zip of plain files."`
	Convert    convertCommand    `cmd:"" help:"Take music from one format to another: ABC, MusicXML, MIDI, tab text."`
	Check      checkCommand      `cmd:"" help:"Say what is in a file, and what would be lost in which format."`
	Import     importCommand     `cmd:"" help:"Take in a studio that export wrote."`
	Restore    restoreCommand    `cmd:"" help:"Put a copy of the studio back in its place."`
	Version    kong.VersionFlag  `help:"Print the version and leave."`
	Licences   licencesFlag      `help:"Print the licences of all that the program is made of, and leave."`
	Arrange    arrangeCommand    `cmd:"" help:"Place a tune on a rig, and tell what it takes."`
	Accompany  accompanyCommand  `cmd:"" help:"Make a part that accompanies, from chord symbols."`
	Phrases    phrasesCommand    `cmd:"" help:"List intros, turnarounds and endings, or those that fit a tune."`
	Drill      drillCommand      `cmd:"" help:"Make an exercise, or a booklet of them, for a rig."`
	Transfer   transferCommand   `cmd:"" help:"Take a tab from one rig to another."`
	Rank       rankCommand       `cmd:"" help:"Say which rig a tune plays best on, and why."`
	Sheet      sheetCommand      `cmd:"" help:"Draw a tune or tab as a sheet: PDF, SVG or PNG."`
	Tell       tellCommand       `cmd:"" help:"Read a tab aloud in plain words."`
	Grips      gripsCommand      `cmd:"" help:"Find the grips of a chord, interval or set of notes, or name a grip."`
	Neck       neckCommand       `cmd:"" help:"Draw a rig's neck: chords, scales, tuning and retuning cards."`
	Booklet    bookletCommand    `cmd:"" help:"Draw what a key begins with on a rig: tuning, chords, scale, pairs."`
	Hear       hearCommand       `cmd:"" help:"Sound a tune on a rig and write the recording."`
	Review     reviewCommand     `cmd:"" help:"Tell what a recording did against a tab, and what to practise."`
	Transcribe transcribeCommand `cmd:"" help:"Write down a recording of a single line as tune and tab."`
	Rigs       rigsCommand       `cmd:"" help:"List the built-in rigs, or show one."`
	Tunings    tuningsCommand    `cmd:"" help:"List the known tunings."`
	Tension    tensionCommand    `cmd:"" help:"Judge what the strings of a rig ask of it."`
	Retune     retuneCommand     `cmd:"" help:"Plan the way from a rig's tuning to another."`
	Reach      reachCommand      `cmd:"" help:"Say which known tunings a rig's strings reach."`
	Strings    stringsCommand    `cmd:"" help:"Design a string set for one tuning or several."`
	Compare    compareCommand    `cmd:"" help:"Say what two rigs share and what must be relearnt."`
	Tune       tuneCommand       `cmd:"" help:"Say what to tune the strings of a rig to, and sound it."`
	Explain    helpCommand       `cmd:"" name:"help" help:"Say what a verb does and takes."`
	Completion completionCommand `cmd:"" help:"Print what a shell needs to complete words."`
	Candidates candidatesCommand `cmd:"" hidden:"" help:"Print what a word could become; the shells' scripts ask this."`
	Manual     manualCommand     `cmd:"" help:"Print the manual page."`
}
