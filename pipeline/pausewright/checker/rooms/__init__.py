"""Rooms as `needs` laid them out: each folder against its list, the list of needs, the script."""
