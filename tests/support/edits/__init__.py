"""Random edits of random scripts, each with what it must change, known by construction."""
