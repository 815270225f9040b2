"""Which sounds words are made of: for lengths of speech and for words in recordings."""
