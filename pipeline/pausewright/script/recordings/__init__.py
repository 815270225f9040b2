"""Caption files that come with recordings, read strictly."""
