package wire_test

import (
	"fmt"

	"lapwright/wire"
)

// The tension of a plain string: OpenStax University Physics 1, section 16.3,
// gives a high string of 3.09e-4 kg/m the speed 427.23 m/s at 56.40 N; at a
// length of 0.65 m that speed makes 427.23/(2·0.65) = 328.6 Hz.
func ExamplePull() {
	fmt.Printf("%.1f N\n", wire.Pull(3.09e-4, 650, 427.23/(2*0.65)))
	// Output: 56.4 N
}
