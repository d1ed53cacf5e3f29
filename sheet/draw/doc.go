// Package draw is one drawing, and how it is put out as SVG; the rooms beside it
// put out the same drawing as PDF and PNG.
//
// A Drawing is pages of items in millimetres, x to the right and y down from
// the page's upper left corner: lines, paths, boxes, symbols of the music font,
// texts and groups. Texts stand on their baseline. Nothing here knows what a
// note is; a group's class and keys say what its items mean, and the SVG
// carries them as class and data attributes, so that a page can find the note
// that is sounding.
//
// The same drawing always gives the same bytes. Text stays text; music symbols are
// outlines. Letters are taken from the text font and, where it lacks them, from
// the sans-serif; Unprinted lists the letters that neither has. Their widths
// come from tables (third_party/letters), so that no font file is needed here.
//
// Entry points: SVG, Text.Width, Font.Runs, Symbol.Outline, Symbol.Box, Placed, Wrap.
//
// Sources: Scalable Vector Graphics 2 (W3C), Standard Music Font Layout 1.4 for the symbols' names and places in the font.
package draw
