// Package console is where the command talks: words, tables and JSON on standard
// output, warnings, errors and progress on standard error, and the exit code that
// goes with each kind of error. It knows nothing of music.
//
// Whatever it prints may hold texts from files and their names, so nothing that a
// terminal obeys gets through but its own bold. It uses none when NO_COLOR is set
// or standard output is no terminal.
//
// Entry points: New, Console, OneLine, Usagef, the Exit codes.
package console
