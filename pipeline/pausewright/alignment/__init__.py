"""Recordings that people give: where speech is in them, and which words are said when."""
