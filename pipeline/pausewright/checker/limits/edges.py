"""Cut-off speech, dropouts and clicks; readings that are not one recording."""

from __future__ import annotations

from typing import Final

TESTS: Final = (
    "tests/checker/test_check_faults.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

FALL_DB: Final = 33.0
"""Speech of two voices falls by 25 dB within 6 ms at most, a cut by 50 dB and more; of voices that
fall further `checker/faults/voice_edges.json` says from where."""
HOLE_FALL_DB: Final = 24.0
"""A smaller fall is a drop-out too if a moment after it is a hole, where a coder rounds off edges
(`Coder.rounds_holes`); elsewhere a hole has the edges that were cut."""
HOLE_DB: Final = 44.0
"""Within 24 ms what a hole falls by, and sound comes back after it. Takes fell by 40 dB at most
(372 of emma; 372 each of george and michael, 110 each of iris and joe: 35); silences of 20 to 40 ms
in MP3 at 64 kbit/s by 47 dB and more, 98 of 100."""
RISE_DB: Final = 44.0
"""Low sounds of speech rise by 37 dB at most, at a cut by 50 dB and more."""
LOUD_FALL_DB: Final = 20.0
"""A fall counts from so little below the speech level on."""
LOUD_RISE_DB: Final = 12.0
"""A rise counts if it leads to so little below the speech level."""
BACK_WITHIN_S: Final = 0.2
"""Sound that comes back after a fall within this time makes the fall a dropout."""
CLICK_DOUBTED_FROM: Final = 9.0
"""From there on a click is one if the wave itself towers there too."""
TOWERS: Final = 2.0
"""So many times as high as what is near it the wave must be then: a click in a loud s."""
CLICK_AT_LEAST_DB: Final = -12.0
"""And how high it must be, to the speech level."""
NEAR_TONE_S: Final = 0.02
"""A tone begins and ends as hard as it likes."""
USUAL_SHARE: Final = 0.25
"""Where so great a share of all sounds has hard edges, that is how the track is made."""
USUAL_FROM: Final = 4
"""And at least so many of them."""
READING_LOUD_DB: Final = 20.0
"""Frames from so little below the speech on are compared."""
READING_COPY_SHARE: Final = 0.5
"""Share of the loud frames that must be alike for two readings to be one take at all."""
READING_ALIKE_DB: Final = -4.0
"""What may be left of a frame, to the frame itself. Of one take, MP3 at 64 kbit/s leaves −7 dB in
its worst frames, OGG −5 dB, Opus −2 dB in single ones."""
READING_SOFT_DB: Final = 15.0
"""Frames so far below the speech are coded less closely."""
READING_SOFT_ALIKE_DB: Final = -2.0
"""What may be left of one of them: −3.8 to −2.0 dB were left over five frames of michael in MP3 at
64 kbit/s. Of other words −1.1 dB and more were left in 99 of 100 such frames of five voices."""
READING_UNLIKE_FRAMES: Final = 4
"""So many loud frames one after another that are not alike are another word."""
READING_LEVEL_FRAMES: Final = 10
"""Frames over which the level of two readings is compared."""
READING_LEVEL_DB: Final = 1.5
"""A level that differs so much over `READING_LEVEL_FRAMES` frames, from that of the rest, is a
step."""
READING_LAGS: Final = 40
"""So many places where two readings may lie over each other are tried at most."""
READING_LAG_SHARE: Final = 0.8
"""Tried are places where they agree so nearly as well as at the best: a steady tone does a period
later. Of the tests' voice without a model, whose vowels are tones, the wrong one was taken in 18 of
1,000 versions; of others in none of 968."""
READING_MOST_LAG_S: Final = 0.05
"""How far apart the beginnings of two readings may be heard."""
READING_MOST_LAG_IN_NOISE_S: Final = 0.1
"""The same where noise hides them."""
READING_AS_LONG_S: Final = 0.04
"""How far copies of one take may differ in length."""
READING_AS_LONG_IN_NOISE_S: Final = 0.14
"""The same in a room's noise."""
PIECE_UNLIKE_FROM: Final = 0.5
"""Energy of the difference of two encodings below `LOW_HZ` against that of the whole sound, in a
window: docs/the-check.md states what honest and wrong pieces come to."""
PIECE_LEVELS_APART: Final = 8.0
"""Ratio of energies, 9 dB, from which a sound that is lost or added in a short window is told."""
PIECE_HIDDEN_DB: Final = -30.0
"""And waves so much softer than the sound of the short window beside them are not compared: before
a sound that begins hard two honest encodings were 10 dB apart at -37 and -42 dB to it, in 3 of
some 1,700 sets of pieces."""
PIECE_LEVEL_HIDDEN_DB: Final = -23.0
"""The same for levels: after a word two were 12 dB apart at -25 dB to it, in one of some 900."""
PIECE_SOFTEST_DBFS: Final = -60.0
"""Softer windows are not compared: the coder's own noise may be all that there is."""
PIECE_SOFT_DBFS: Final = -50.0
"""In softer windows only the levels are compared: the soft end of a word in one at -57.7 dBFS came
to a difference of 0.52 in two honest encodings as Ogg Vorbis."""
EXCERPT_BELOW_DB: Final = 10.0
"""How far below the sound the difference of two lossy copies lies at least: a shift by 2 ms, or
other words, leave less than 3 dB."""
FADED_DBFS: Final = -45.0
"""What the faded end of a sound stays below where two tracks are compared: its edge lies 40 dB
below the speech, and peaks lie above a level. Computed, not measured."""
