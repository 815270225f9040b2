"""From a timeline to words on a screen or on paper: cues, WebVTT, SRT, transcripts."""
