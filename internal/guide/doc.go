// Package guide says what the command line knows of itself: help, the manual page,
// what a word could become in a shell, and the verb that a slip was meant to be.
//
// All is made from the parser's model of the command line, so it can't be out of
// date. Entry points: Manual, Candidates, Script, Verbs, Mistyped, Nearest, HelpOf.
package guide
