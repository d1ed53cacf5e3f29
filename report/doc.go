// Package report holds the forms in which the program gives what it found to
// other programs: to who calls a command with --json, to the workbench's pages,
// to the page of a lesson. Each form stands here once; the pages' TypeScript types
// are made from it (internal/web/build), so that a field that changes its name
// fails the check of the types.
//
// Forms hold no arithmetic but rounding: the rooms above reckon, report writes
// down. Bars are numbers as printed unless the field is said to be an index;
// places in a bar are fractions of a whole note from its start, as text: "3/8".
// String 1 is the one farthest from the player, frets count from the nut or the
// capo, times are seconds. Lists are never null, figures rounded as
// round.go says. docs/formats/json.md lists the forms.
//
// Entry points: TabOf, Summarise, FaultOf, Placed; ArrangementOf, GripsOf, TensionOf,
// PlanOf, RigOf and their like, one for what each command found.
package report
