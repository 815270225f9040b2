"""How far a version of a given recording may be from the recording."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

TESTS: Final = ("tests/checker/test_check_original.py",)
"""What holds these limits."""

GAIN_RESIDUE_DB: Final = -60.0
"""With another loudness declared, what differs from the recording after its gain is taken off,
against the speech."""
LOSSY_LIKENESS: Final = 0.97
"""Of a compressed track against the recording, as a share of 1 (their correlation): what the coding
adds is no change of the recording, and a copy of another take comes to less than a half."""
LOSSY_RESIDUE_DB: Final = -40.0
"""And what differs by no more than this, against the speech, is the coding too: three seconds of a
room at -55 dBFS with a rustle came to 0.958 and -41 dB as MP3."""
FOUND_LIKENESS: Final = 0.8
"""From which on a stretch of the recording counts as found."""
SHAPE_LIKENESS: Final = 0.75
"""The same of slowed speech, by its rise and fall: its correlation with the recording's."""
ABOVE_NOISE_DB: Final = 6.0
"""Where a stretch of the recording begins and ends: so much over what the noise of the gaps around
does not pass in 95 of 100 frames of 10 ms."""
HEARD_BELOW_SPEECH_DB: Final = 45.0
"""The same in a quiet room: so much below the speech."""
DOUBT_DB: Final = 8.0
"""Edges at a threshold so much higher tell by how much they may be off: where a gap is made longer,
its tolerance grows by that times the added share."""
SOFTER_DB: Final = 3.0
"""And edges at one so much lower: the soft end of a word hovered 1 dB below it for 0.1 s in a
recording, and 1 dB above in its slowed copy. Three of its 120 readings came back 0.10 to 0.13 s
off."""
HIDDEN_S: Final = Fraction(60, 1000)
"""By so much at least where the room's noise hides what is softer: of 40 honest versions of eight
recordings in rooms of -70 to -55 dBFS two silences came back 90 and 95 ms off, one with a quarter
added 29 ms, and a slowed word 35 ms."""
NOISY_BELOW_SPEECH_DB: Final = 50.0
"""A room no further below the speech hides soft ends of what is laid over it."""
KEPT_S: Final = Fraction(1, 20)
"""What beside speech must be as recorded, wherever something is put in."""
LOST_S: Final = Fraction(1, 10)
"""So much of a gap beside slowed speech belongs to it, and is not compared."""
SILENT_DB: Final = -120.0
"""What is softer counts as digital silence: the room of no recording of 16 bits is."""
ROOM_LEVEL_DB: Final = 1.5
"""What is put into a gap may differ in level from the gap's own quiet: 1 dB is asked of the
builder, and the measurement itself is half a dB unsure."""
ROOM_PEAK_DB: Final = 9.0
"""No 10 ms of what is put in may be louder than the loudest of the recording's own quiet by
more."""
SLOWED_SHARE: Final = Fraction(1, 100)
"""Slowed speech against its length in the recording times the declared ratio; or `SLOWED_S`."""
SLOWED_S: Final = Fraction(30, 1000)
"""See `SLOWED_SHARE`: ends of words are soft."""
PITCH_SHARE: Final = 0.02
"""Middle pitch of slowed speech against the recording's; 1 % is asked of the builder."""
