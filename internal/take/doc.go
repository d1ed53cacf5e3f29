// Package take reads a take as a student's page saves it: NAME.take.zip, which holds what was played on
// what (take.json) and its sound (take.flac). docs/formats/take.md describes it.
//
// Anybody may send such a file, so all that it says is bounded before it is believed. What tab was played is
// told by digests alone: who reads it has the lesson.
//
// Entry points: Read, Is, Digest.
package take
