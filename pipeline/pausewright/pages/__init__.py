"""What all pages share: the page that stands alone, its style, and the strip of time."""
