// Package refcheck holds the tests that have an outside witness: a published
// standard or table, a handbook's worked example, an open data set, or another
// general-purpose library run inside the test.
//
// It is the one room that may import every other. The data lies in third_party/witness
// (see Reference); libraries from npm lie in node/, fetched by
// "make test-tools". What is missing is a failure, never a pass.
package refcheck
