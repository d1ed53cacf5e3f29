package steel

import "testing"

// TestKinds: every way of laying the steel is read by its name, and by no other.
func TestKinds(t *testing.T) {
	for _, name := range []string{"open", "straight", "forward slant", "reverse slant", "split", "nose"} {
		k, err := ParseKind(name)
		if err != nil || k.String() != name {
			t.Errorf("%q is read as %v, %v", name, k, err)
		}
	}
	if k, err := ParseKind("askew"); err == nil {
		t.Errorf(`"askew" is read as %v`, k)
	}
}
