"""Delivered files as they are: decoded, their headers, sums and tags, and the lists beside them."""
