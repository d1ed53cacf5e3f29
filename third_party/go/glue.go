// Package glue carries the script that starts a Go program in a browser: see
// README.md for its source and licence.
package glue

import _ "embed"

// Script is the whole file.
//
//go:embed wasm_exec.js
var Script string
