// Package fault says where an input is wrong and what is wrong there: in a
// text by line and column, in bytes by offset, in music by bar and beat.
//
// Fields come first; the string is made in Error. A Fault in a List may be an
// error or a warning: the list it stands in says which. It imports nothing of
// ours, so that every reader can use it.
//
// Entry points: Fault, List, Clip.
package fault
