"""Scripts: text to a parsed `Script`."""
