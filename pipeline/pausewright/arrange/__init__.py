"""Arrangements: declared versions of one test, read and validated; nothing computed here."""
