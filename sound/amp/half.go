package amp

import "math"

// half is a half-band filter, which doubles a rate or halves it:
//
//	H(z) = ½·(A(z²) + z⁻¹·B(z²))
//
// with A and B chains of allpass sections (a + z⁻¹)/(1 + a·z⁻¹), here at the lower rate
// (Valenzuela and Constantinides, 1983).
type half struct {
	a, b []section
	late float64 // what B gave last
}

type section struct{ a, x, y float64 }

func (s *section) next(x float64) float64 {
	y := s.a*(x-s.y) + s.x
	s.x, s.y = x, y
	return y
}

// newHalf designs a half-band filter of so many sections, elliptic, whose transition is so wide as a share
// of the higher rate, about a quarter of it. The series are those of the elliptic filter's nome, as the paper gives them.
func newHalf(sections int, transition float64) half {
	k := math.Pow(math.Tan((1-2*transition)*math.Pi/4), 2)
	root := math.Pow(1-k*k, 0.25)
	e := 0.5 * (1 - root) / (1 + root)
	e4 := math.Pow(e, 4)
	q := e * (1 + e4*(2+e4*(15+150*e4)))
	order := float64(2*sections + 1)
	var h half
	for i := range sections {
		at := float64(i+1) * math.Pi / order
		num, den, sign := 0.0, 0.5, 1.0
		for n := range 12 {
			m := float64(n)
			num += sign * math.Pow(q, m*(m+1)) * math.Sin((2*m+1)*at)
			sign = -sign
			den += sign * math.Pow(q, (m+1)*(m+1)) * math.Cos(2*(m+1)*at)
		}
		w := math.Pow(q, 0.25) * num / den
		x := math.Sqrt((1-w*w*k)*(1-w*w/k)) / (1 + w*w)
		s := section{a: (1 - x) / (1 + x)}
		if i%2 == 0 {
			h.a = append(h.a, s)
		} else {
			h.b = append(h.b, s)
		}
	}
	return h
}

// up gives the two samples at twice the rate that stand for one.
func (h *half) up(x float64) (first, second float64) {
	first, second = x, x
	for i := range h.a {
		first = h.a[i].next(first)
	}
	for i := range h.b {
		second = h.b[i].next(second)
	}
	return first, second
}

// down gives the sample at half the rate that stands for two.
func (h *half) down(first, second float64) float64 {
	late := h.late
	for i := range h.a {
		first = h.a[i].next(first)
	}
	for i := range h.b {
		second = h.b[i].next(second)
	}
	h.late = second
	return 0.5 * (first + late)
}

// clear forgets what went in.
func (h *half) clear() {
	for i := range h.a {
		h.a[i] = section{a: h.a[i].a}
	}
	for i := range h.b {
		h.b[i] = section{a: h.b[i].a}
	}
	h.late = 0
}
