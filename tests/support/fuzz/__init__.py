"""Damaged files of every kind that a user writes, and what must never come of reading them."""
