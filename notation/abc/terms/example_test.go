package terms_test

import (
	"fmt"

	"lapwright/notation/abc/terms"
)

func ExampleParseKey() {
	k := terms.ParseKey("A mix")
	fmt.Println(k.Key, terms.FormatKey(k.Key))
	// Output: A mixolydian Amix
}
