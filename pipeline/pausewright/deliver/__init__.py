"""Building: one script to a folder of tracks, captions, papers and records, checked."""
