"""The one form of a script, and the proof that it means the same."""
