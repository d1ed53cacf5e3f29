// Command build makes the core for the browser (internal/lesson/module):
//
//	go run ./internal/lesson/module/build          # write
//	go run ./internal/lesson/module/build -check   # fail when it is not what the sources give
//	go run ./internal/lesson/module/build -quick   # the same by a digest of the sources, in a second
//	go run ./internal/lesson/module/build -rooms   # print what each room adds
package main
