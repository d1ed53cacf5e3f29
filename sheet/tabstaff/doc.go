// Package tabstaff draws the tablature of a system: numbers on the strings, the steel
// through a grip, glides, hammers and marks, what stands under the strings, and the
// rhythm.
//
// Entry point: New.
package tabstaff
