"""What a track of a script must sound like, read from the script alone."""
