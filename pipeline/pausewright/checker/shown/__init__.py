"""What candidates read beside the sound: captions, transcripts, countdowns."""
