package toml_test

import (
	"fmt"

	"lapwright/rig/toml"
)

func ExampleRead() {
	doc, err := toml.Read([]byte("scale = \"25 in\"\n[[string]]\ngauge = 16\n"))
	fmt.Println(doc.Root["scale"], doc.Values["string[1].gauge"], err)
	_, err = toml.Read([]byte("scale = \"25 in\nfrets = 24\n"))
	fmt.Println(err)
	// Output:
	// 25 in {3 9} <nil>
	// 1:15: a text in quotes can't have new lines
}
