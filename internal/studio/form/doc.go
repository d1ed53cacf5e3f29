// Package form brings what the studio kept in an earlier form into today's.
//
// A form is how the bodies and settings of items are written: which words,
// which keys. Each change of form is one Step, a small function that rewrites
// one revision; Upcast runs the steps that a revision lacks. The database's
// migration, archives and copies of every earlier version go through it alike.
//
// A step knows nothing of the program's present types: what it says about a
// past form must stay true when those change. It rewrites the form of a
// revision, never its number, time or place. What it can't read it leaves as
// it is, since it could not be read before either.
//
// To add a form: write the step in a file of its own, put it at the end of
// steps, and keep a studio of the form before in ../testdata.
//
// Entry points: Upcast, Rigs.
package form
