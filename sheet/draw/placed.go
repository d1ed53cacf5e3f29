package draw

// Placed returns the item scaled by k and moved to dx, dy.
func Placed(it Item, k, dx, dy float64) Item {
	switch it := it.(type) {
	case *Group:
		out := &Group{Class: it.Class, Keys: it.Keys, Items: make([]Item, len(it.Items))}
		for i, x := range it.Items {
			out.Items[i] = Placed(x, k, dx, dy)
		}
		return out
	case Rule:
		it.X1, it.Y1, it.X2, it.Y2 = it.X1*k+dx, it.Y1*k+dy, it.X2*k+dx, it.Y2*k+dy
		it.Width *= k
		it.Dash *= k
		return it
	case Box:
		it.X, it.Y, it.W, it.H = it.X*k+dx, it.Y*k+dy, it.W*k, it.H*k
		it.Width *= k
		it.Radius *= k
		return it
	case Path:
		steps := make([]Step, len(it.Steps))
		for i, s := range it.Steps {
			for j := range s.P {
				s.P[j] = Point{X: s.P[j].X*k + dx, Y: s.P[j].Y*k + dy}
			}
			steps[i] = s
		}
		it.Steps = steps
		it.Width *= k
		return it
	case Glyph:
		it.X, it.Y, it.Space = it.X*k+dx, it.Y*k+dy, it.Space*k
		return it
	case Text:
		it.X, it.Y, it.Size = it.X*k+dx, it.Y*k+dy, it.Size*k
		return it
	}
	return it
}
