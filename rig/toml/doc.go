// Package toml reads the text format of rigs: TOML 1.1 (https://toml.io/en/v1.1.0, of
// which 1.0 is a part), with the place of every key and value.
//
// docs/formats/rig.md tells what a rig is in it. It holds values, and doesn't know what a rig is. Places are 1-based lines and byte
// columns. Paths look like "scale", "steel.length" and "string[3].gauge", lists counted
// from 1.
//
// Entry points: Read, and Fault for what is wrong with a text.
package toml
