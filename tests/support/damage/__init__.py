"""Damage to scripts and files by chance, and things that are no files at all."""
