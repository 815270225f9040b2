"""Where sound begins and ends, and what is a room's noise."""

from __future__ import annotations

from typing import Final

TESTS: Final = (
    "tests/checker/test_check_formats.py",
    "tests/checker/test_check_human.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

BELOW_SPEECH_DB: Final = 40.0
"""A sample is sound if it is not further than this below the active speech level."""
SHIFTED_FROM: Final = 0.0003
"""A zero line that is shifted by so much, full scale 1, is taken off before anything is judged."""
ZERO_S: Final = 0.02
"""What is exactly 0 for so long is silence, wherever the zero line of the sound lies."""
SHORTEST_SILENCE_S: Final = 0.2
"""Shorter silences (stop consonants, joins of words) belong to the sound around them."""
STEADY_S: Final = 0.6
"""A stretch that stays soft and steady for so long is noise, and no speech."""
NOISE_BELOW_SPEECH_DB: Final = 9.0
"""How far below the speech it must stay, in every frame of 40 ms."""
MOST_SPREAD_DB: Final = 9.0
"""How much its loudest frames (95 %) may stand above its softest (5 %)."""
NOISY_FROM_DB: Final = 56.0
"""From this level below the speech on, single samples of steady noise pass the threshold of
40 dB now and then: the whole track is then searched for what stands out of the noise."""
ROOM_SHARE: Final = 0.1
"""Where music or effects belong to a track, a room's noise is what fills its softest tenth: a tenth
of the frames of 40 ms are no louder. In built tracks that tenth is digital silence."""
ROOM_WITHIN_DB: Final = 4.0
"""Steady sound is that noise if its level is no further from the softest tenth: other steady sound
is music. Frames of a room's noise spread by 1 to 2 dB."""
SPREADS: Final = 4.5
"""A band has sound from so many standard deviations (of its decibels) above the mean noise."""
CODER_EDGE_S: Final = 0.02
"""A moment of noise that is wholly so near to the file's first or last frame is the coder's own: an
Ogg Vorbis of a room's noise began with 12 ms at 7 kHz, 10 dB above it, once in some 900 tracks."""
LASTING_S: Final = 0.012
"""What stands out for a shorter time is noise still."""
ENOUGH_S: Final = 1.0
"""So much noise is enough to learn from: by the half second of it at the end of a chunk, one of 32
honest tracks in a room had a moment of its noise taken for a sound."""
FAINT_RATIO: Final = 2.0
"""A band of faint sound is taken to hold so many times the noise's power beside the noise."""
SURE_FROM: Final = 8.0
"""From so much evidence on (natural logarithm of the likelihood ratio) faint sound is sound. Noise
alone comes to it once in some thousand places (e⁻⁸ for each band; Wald 1945, from memory)."""
GROWS_BY: Final = 6.0
"""The last of that evidence may come slowly, over `GROWS_WITHIN_S` at most."""
GROWS_WITHIN_S: Final = 0.06
"""Of some 190 tracks with noise 30 dB below the speech a silence of one was 0.13 s short, since
noise had brought 4 more over the 0.1 s after a word whose own had been 13."""
MURMUR_FROM: Final = 11.0
"""From so much evidence on (natural logarithm) the lowest band, which the voice fills, has a murmur
behind the closed lips of a stop consonant. Noise came to 8.2 and 10.6 beside a word of two
of those; 510 silences in noise 30 and 36 dB below the speech were as exact with a limit of 7."""
CLOSED_S: Final = 0.045
"""How long the lips may be closed between clear sound and a murmur."""
MURMUR_S: Final = 0.06
"""A murmur is over after so long."""
MURMUR_DB: Final = 33.0
"""A murmur is no further below the speech."""
FAINT_S: Final = 0.3
"""How far before and after clear sound faint sound is looked for."""
SOUND_DB: Final = 42.0
"""Faint sound ends where all bands together fall this far below the speech: sound is what is not
further than 40 dB below it, and the ear of the bands is finer than that in soft noise."""
HIDDEN_START_S: Final = 0.006
"""How long a word's beginning stays under noise that is `HIDING_DB` below the speech: the middle
between the shortest and the longest that were seen."""
HIDDEN_END_S: Final = 0.016
"""The same of its end: many words end slowly."""
HIDING_DB: Final = 30.0
"""Noise so far below the speech hides the ends of words as far as noise can."""
NOT_HIDING_DB: Final = 45.0
"""Noise so far below the speech hides nothing of them."""
ONSETS_WITHIN_S: Final = 0.005
"""How far two decoders' starts of a sound may lie apart: they round differently near silence."""
OVER_NOISE_DB: Final = 15.0
"""Where there is steady noise, starts are compared so far above it: single samples of noise that
pass the threshold differ from decoder to decoder."""
