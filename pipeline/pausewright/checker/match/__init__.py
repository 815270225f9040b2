"""Which stretch of sound is which expected sound, and how long each silence is."""
