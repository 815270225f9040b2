"""Scripts, cases and samples as text, and how to read or lay them out."""
