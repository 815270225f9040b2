"""What differs between two states of a test, what follows from it, and the proof on the tracks."""
