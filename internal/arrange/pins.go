package arrange

// Pin fixes part of how a range of bars is played.
type Pin struct{}

// Harmony says what to add under a melody.
type Harmony uint8
