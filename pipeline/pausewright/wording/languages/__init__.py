"""One file a language: the words that figures and signs have in it."""
