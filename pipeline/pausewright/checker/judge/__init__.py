"""From a matched track to findings."""
