"""Voice profiles and the calibration passage, as data."""
