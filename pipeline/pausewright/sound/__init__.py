"""From a timeline and takes to audio files: tones, excerpts, laying, writing, the record."""
