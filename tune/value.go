package tune

// The bounds of written values: a large (eight whole notes) to a 1024th, with
// at most three dots, and no dot below a 1024th.
const (
	MinLog2 = -3
	MaxLog2 = 10
	MaxDots = 3
)

// within reports whether a value is one that can be written: long and short enough, dots and what they are of.
func (v Value) within() bool {
	return v.Log2 >= MinLog2 && v.Dots >= 0 && v.Dots <= MaxDots && int(v.Log2)+int(v.Dots) <= MaxLog2
}

// ValueOf returns the single written value of exactly that length, with at most
// MaxDots dots, or false when no single value has it. It does not know of
// tuplets: divide the length by them first.
func ValueOf(length Ticks) (Value, bool) {
	v := longestWithin(length, MaxDots)
	return v, v.Len() == length && length > 0
}

// Values returns written values that add up to length, longest first, each with
// at most one dot unless two dots fit exactly: what must be tied together to
// write it. It fails (nil, false) when the length is not positive, is no
// multiple of a 1024th note, or is longer than MaxWholes.
func Values(length Ticks) ([]Value, bool) {
	const least = Whole >> MaxLog2
	if length <= 0 || length%least != 0 || length > MaxWholes*Whole {
		return nil, false
	}
	var out []Value
	for length > 0 {
		v := longestWithin(length, 2)
		if v.Dots > 1 && v.Len() != length {
			v.Dots = 1
		}
		out = append(out, v)
		length -= v.Len()
	}
	return out, true
}

// longestWithin returns the longest value of at most so many dots that is no
// longer than length; the shortest value there is when none is.
func longestWithin(length Ticks, most int8) Value {
	for log := int8(MinLog2); log <= MaxLog2; log++ {
		for dots := most; dots >= 0; dots-- {
			v := Value{Log2: log, Dots: dots}
			if int(log)+int(dots) <= MaxLog2 && v.Len() <= length {
				return v
			}
		}
	}
	return Value{Log2: MaxLog2}
}

// Scaled returns the value's length inside tuplets, or false when that is no
// whole number of ticks.
func (v Value) Scaled(tuplets []Tuplet) (Ticks, bool) {
	length := v.Len()
	for _, t := range tuplets {
		if t.Actual < 1 || t.Normal < 1 || t.Actual > MaxTuplet || t.Normal > MaxTuplet {
			return 0, false
		}
		length *= Ticks(t.Normal)
		if length%Ticks(t.Actual) != 0 {
			return 0, false
		}
		length /= Ticks(t.Actual)
	}
	return length, true
}

// MaxTuplet bounds the two numbers of a tuplet.
const MaxTuplet = 64
