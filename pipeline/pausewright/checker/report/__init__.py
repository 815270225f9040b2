"""The result of a check for people and for programs."""
