"""A desk in a process of its own, for tests that speak to it."""
