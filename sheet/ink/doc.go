// Package ink gathers what is drawn of one system or picture, in staff spaces, and
// remembers where its ink lies, so that what is added later keeps clear of it.
// It doesn't know what it draws; x goes to the right and y down.
//
// Entry points: New, Canvas.Add, Canvas.TopOver; Polygon, Bow, Wave and NoseMark make
// shapes.
package ink
