"""The pages that play a track in the room, or help a person to read it."""
