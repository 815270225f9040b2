"""Written text to the words that are spoken and shown."""
