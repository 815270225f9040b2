"""Tracks, tags and captions made by hand, and built tests to check again."""
