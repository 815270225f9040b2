"""What a track must be, read from the script and the typed arrangement alone; see `promise`."""
