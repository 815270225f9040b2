"""A closer look at the samples: damage that is heard, though nothing is missing."""
