// Command build bundles the scripts and styles in internal/web/src into the
// files that are committed and embedded: internal/web/assets for the program's
// pages, internal/lesson/page for the page that a student opens from disk.
//
// With -check it writes nothing and fails when a committed file is not what the
// sources give. With -test it runs the unit tests of the scripts in Node. It runs at the root of the repository, after npm ci in the
// source folder, and is no part of the program.
package main
