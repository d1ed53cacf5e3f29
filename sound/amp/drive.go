package amp

import "math"

// Drive is an amplifier that gives way softly: the higher a swing, the less of it comes out.
// A sample x comes out as
//
//	y = (s(g·x + bias) − s(bias)) / (g·s′(bias)),   s(u) = u/√(1 + u²),
//
// so that what is very soft passes unchanged, and the bias, by which one side gives way before
// the other, brings even harmonics in. It is worked out at eight times the rate, so that of the
// harmonics too high for the rate under −80 dB is folded back (TestDriveFoldsNothingBack).
type Drive struct {
	gain, bias, offset, scale float64
	ups, downs                [3]half
}

const (
	driveBias = 0.22 // ours: the second harmonic then lies near the third in an ordinary stroke
	// driveRange is by how many dB full drive is over the middle, at which an ordinary stroke's peak
	// comes to the bend of the curve (g·x = 1): ours.
	driveRange = 14.0
)

// Sections and transitions of the half-band filters, from 48 to 96, 192 and 384 kHz: what lies above 28, 76 and 172 kHz is
// held under −90 dB, since what lies up to 20 kHz is to be heard.
var stages = [3]struct {
	sections   int
	transition float64
}{{9, 4. / 48}, {4, 28. / 96}, {3, 76. / 192}}

// NewDrive returns a drive from above 0 to 1 for strokes whose peak is usually so high.
func NewDrive(drive, peak float64) *Drive {
	g := math.Pow(10, driveRange*(2*drive-1)/20) / peak
	root := math.Sqrt(1 + driveBias*driveBias)
	d := &Drive{gain: g, bias: driveBias, offset: driveBias / root, scale: root * root * root / g}
	for i, s := range stages {
		d.ups[i], d.downs[i] = newHalf(s.sections, s.transition), newHalf(s.sections, s.transition)
	}
	return d
}

// bend is the curve.
func (d *Drive) bend(x float64) float64 {
	u := d.gain*x + d.bias
	return (u/math.Sqrt(1+u*u) - d.offset) * d.scale
}

// Next takes a sample and gives the next.
func (d *Drive) Next(x float64) float64 {
	a, b := d.ups[0].up(x)
	return d.downs[0].down(d.twice(a), d.twice(b))
}

// twice does the work at twice the rate.
func (d *Drive) twice(x float64) float64 {
	a, b := d.ups[1].up(x)
	return d.downs[1].down(d.fourfold(a), d.fourfold(b))
}

// fourfold does it at four times the rate, bending at eight times.
func (d *Drive) fourfold(x float64) float64 {
	a, b := d.ups[2].up(x)
	return d.downs[2].down(d.bend(a), d.bend(b))
}

func (d *Drive) clear() {
	for i := range d.ups {
		d.ups[i].clear()
		d.downs[i].clear()
	}
}
