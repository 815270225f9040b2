"""A version of a given recording against that recording: what was to stay the same did."""
