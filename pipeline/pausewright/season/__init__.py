"""A whole season of tests on an engine that exists: found, read, planned as a graph, made, told."""
