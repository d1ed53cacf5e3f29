// Package form makes an instrument from the words that somebody fills a form with:
// a scale length as rulers are read, a tuning as it is said, gauges as packets print
// them. What is wrong is told by the field that it stands in. Pages and the
// workbench show the same form.
//
// Conventions: tunings are written low to high; string 1 first wherever strings are
// numbered.
//
// Entry points: Read, Instrument.Rig, TuningName, TitleOf.
package form
