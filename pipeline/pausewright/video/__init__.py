"""From samples and cues to a video with captions, for a projector."""
