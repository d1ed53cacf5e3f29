package arrange

// Harmony says what to add under a melody.
type Harmony uint8
