"""Good tracks, and ways to spoil them that the check must notice."""
