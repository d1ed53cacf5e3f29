package musicxml

import (
	"strconv"

	"lapwright/pitch"
)

// staffInfo is what is known of one staff.
type staffInfo struct {
	tab       bool // has a TAB clef
	alternate bool // shows the same music as another staff
	tuning    map[int]pitch.Name
	lines     int
}

// staffs are those of a part, by their numbers.
type staffs map[int]*staffInfo

func (s staffs) at(n int) *staffInfo {
	if s[n] == nil {
		s[n] = &staffInfo{}
	}
	return s[n]
}

// tuning returns the tuning of the first staff that has one: line 1 is the
// lowest, which is the highest string number.
func (all staffs) tuning() []pitch.Name {
	for n := 1; n <= 100; n++ {
		s := all[n]
		if s == nil || len(s.tuning) == 0 {
			continue
		}
		var out []pitch.Name
		count := max(s.lines, len(s.tuning))
		for line := count; line >= 1; line-- {
			if name, ok := s.tuning[line]; ok {
				out = append(out, name)
			}
		}
		return out
	}
	return nil
}

// staffNumber reads which staff something belongs to: the first, where it doesn't say.
func staffNumber(s string) int {
	if s == "" {
		return 1
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > 100 {
		return 1
	}
	return n
}
