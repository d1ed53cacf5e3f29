// Package notation chooses the reader for a file by its ending and content,
// writes music in any of the formats, and keeps the text of each tune of a book
// apart.
//
// The notations themselves lie in rooms of their own below this one. Entry
// points: Open, Encode, Read, Endings.
package notation
