package wire

// MM is a length in millimetres.
type MM float64

// Inch is one inch in millimetres (exact, international inch of 1959).
const Inch MM = 25.4

// Newtons is a force. One pound-force is PoundForce newtons.
type Newtons float64

// PoundForce is one pound-force in newtons (exact: 0.45359237 kg × 9.80665 m/s²).
const PoundForce Newtons = 4.4482216152605

// Material says what a plain string, or the wrap of a wound one, is made of.
type Material string

// The materials of strings. Cores are always music wire.
const (
	MusicWire      Material = "music wire"
	NickelPlated   Material = "nickel-plated steel"
	Stainless      Material = "stainless steel"
	PhosphorBronze Material = "phosphor bronze"
	Bronze8020     Material = "80/20 bronze"
	Nickel         Material = "pure nickel"
)

// Core is the cross-section of a wound string's core.
type Core string

// The two cores in use. For a hexagonal core the diameter is measured across
// the flats.
const (
	RoundCore Core = "round"
	HexCore   Core = "hex"
)

// String is one string as sold.
type String struct {
	Diameter  MM       // outer diameter, above zero
	Wound     bool     // a wrap of Material over a music-wire core
	Material  Material // the plain wire, or the wrap
	CoreRatio float64  // core diameter over outer diameter, wound strings only, between 0 and 1
	Core      Core     // wound strings only
	// Measured is a mass per length in kg/m that was measured or that the
	// maker states; it overrides the model. Zero when there is none.
	Measured float64
}
