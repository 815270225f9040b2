"""Seasons made in tests, with the voice without a model in every process."""
