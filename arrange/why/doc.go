// Package why tells what a stroke costs a player and why, part by part and in words, and
// how hard the whole is. The prices are those of room grip; nothing is chosen here.
//
// Entry points: Of, Move.Words, Beyond, Difficulty.
package why
