// Package hostile feeds readers with files that are made to be too much, and
// judges what they answer and what it takes them.
//
// Entry points: Feed.
package hostile
