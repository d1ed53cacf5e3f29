// Package seeds makes the property tests of a room the same on every run, so that a
// failure is that of the change in hand and not of the day.
//
// It is for TestMain, is no part of the program, and may be used by every room's
// tests. Entry points: Run.
package seeds
