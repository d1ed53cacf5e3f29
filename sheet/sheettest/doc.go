// Package sheettest makes what tests of the engraving draw: a tune with every sign
// of the staff, a tab with every mark of the tablature, and the pages of both.
//
// Entry points: EverySign, EveryMark, EveryTurn, Turned; Signs, Marks, Turns,
// TurnedPages, Picture; Events and Measure write music in short words.
package sheettest
