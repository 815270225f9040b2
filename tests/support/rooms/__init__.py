"""Rooms laid out from short tests, and what can go wrong with them on the way to the room."""
