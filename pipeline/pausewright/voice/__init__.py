"""Voices: from words to finished takes; `studio.Studio` is the entry for the builder."""
