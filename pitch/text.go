package pitch

// The text forms make pitches, keys and chords readable in JSON and TOML.

// MarshalText returns the ASCII form, such as "F#".
func (c Class) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText or a person writes (see ParseClass).
func (c *Class) UnmarshalText(b []byte) error {
	v, err := ParseClass(string(b))
	if err == nil {
		*c = v
	}
	return err
}

// MarshalText returns the ASCII form, such as "F#4".
func (n Name) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads what MarshalText or a person writes (see ParseName).
func (n *Name) UnmarshalText(b []byte) error {
	v, err := ParseName(string(b))
	if err == nil {
		*n = v
	}
	return err
}

// MarshalText returns Key.Text.
func (k Key) MarshalText() ([]byte, error) { return []byte(k.Text()), nil }

// UnmarshalText reads what MarshalText or a person writes (see ParseKey).
func (k *Key) UnmarshalText(b []byte) error {
	v, err := ParseKey(string(b))
	if err == nil {
		*k = v
	}
	return err
}

// MarshalText returns Chord.String.
func (c Chord) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads what MarshalText or a person writes (see ParseChord).
func (c *Chord) UnmarshalText(b []byte) error {
	v, err := ParseChord(string(b))
	if err == nil {
		*c = v
	}
	return err
}
