"""Files that a build leaves for later: each is a typed value, and reading gives it back or nothing.

One declaration gives writing, reading and the published JSON Schema.
"""
