"""Recordings with everything known, made without a voice."""
