package rig

import (
	"strings"
	"testing"
)

// How much of a text is a decimal number, as the rig file has them.
func TestDecimal(t *testing.T) {
	for text, want := range map[string]string{
		"": "", ".": "", "-": "", "+.": "", "x1": "", "e5": "", ".e5": "", "1.": "1.", ".5": ".5", "-.5in": "-.5", "+12 N": "+12", "0.016in": "0.016", "1.2.3": "1.2",
		"1e5": "1e5", "1E-05x": "1E-05", "1e+": "1", "1e": "1", "1ex": "1", "1e1234": "1e123", "5ev": "5",
	} {
		if got := text[:Decimal(text)]; got != want {
			t.Errorf("%q begins with the number %q, want %q", text, got, want)
		}
	}
}

// Units are words of Latin letters; one that is unknown is named.
func TestUnitsByName(t *testing.T) {
	for text, want := range map[string]string{
		"25 in": "", "635mm": "", "25 az": `has the unit "az"`, "25 AZ": `has the unit "AZ"`, "25 zA": `has the unit "zA"`, "25 a1": "is not a length", "25 @": "is not a length", "25 [": "is not a length", "25 `": "is not a length", "25 {": "is not a length",
		"in": "is not a length", "25": "is not a length", "1e999 in": "the number is out of range",
	} {
		if _, err := ParseLength(text); want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// What is told of a string's stiffness against its neighbours: even within a tenth.
func TestStiffnessInWords(t *testing.T) {
	for stiffness, want := range map[float64]string{1: "even", 1.0999: "even", 0.9001: "even", 1.25: "25 % tighter", 0.8: "20 % slacker"} {
		if got := StiffnessText(stiffness); got != want {
			t.Errorf("%g: %s, want %s", stiffness, got, want)
		}
	}
}
