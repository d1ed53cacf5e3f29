// Package legend explains the marks that a tab uses, each with a small picture.
//
// Entry point: Draw.
package legend
