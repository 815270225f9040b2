"""A given recording: read at its own rate and depth, its edges and its room, and versions of it."""
