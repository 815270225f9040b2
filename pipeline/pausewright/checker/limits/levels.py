"""Levels, noise and damage of the sound."""

from __future__ import annotations

from typing import Final

TESTS: Final = (
    "tests/checker/test_check_faults.py",
    "scripts/sabotage.py",
)
"""What holds these limits, where a row names nothing else."""

TRUE_PEAK_CEILING_DBTP: Final = -1.0
"""EBU R 128 v4.0 (August 2020) (check value LU-14)."""
TRUE_PEAK_SLACK_DB: Final = 0.1
"""What two meters of one standard may differ by on a real wave."""
LOUDNESS_TOLERANCE_LU: Final = 1.0
"""EBU R 128 v4.0 (August 2020), production tolerance (check value LU-14)."""
LEVEL_ALLOWED_DB: Final = 1.5
"""How far an utterance may lie from the middle of all."""
LEVEL_ERROR_DB: Final = 3.0
"""From there on it is an error."""
LEVEL_SHORTEST_S: Final = 0.4
"""Shorter words have no dependable level (BS.1770 has none under 0.4 s either)."""
LEVEL_SHORT_S: Final = 1.2
"""A shorter word may differ by `LEVEL_SHORT_MORE_DB` more."""
LEVEL_SHORT_MORE_DB: Final = 1.0
"""What a word shorter than `LEVEL_SHORT_S` may differ more: its few sounds decide its level."""
LEVEL_CEILING_DBFS: Final = -2.5
"""An utterance whose highest sample is here could not be made louder without a limiter: it may be
softer by `LEVEL_SOFTER_AT_CEILING_DB` more."""
LEVEL_SOFTER_AT_CEILING_DB: Final = 2.0
"""What an utterance at the ceiling may be softer beyond that."""
LEVEL_FEWEST: Final = 3
"""With fewer utterances there is no middle worth the name."""
LEVEL_STEP_DB: Final = 2.2
"""From there on the words after a place are louder or softer than those before it, though each is
within what one utterance may differ."""
LEVEL_CLEAR_SHARE: Final = 0.9
"""So many on each side must be nearer to their own middle than to the other's."""
NOISE_BELOW_DB: Final = 20.0
"""Background at least so far below foreground speech: WCAG 2.x, success criterion 1.4.7 (check
value LU-19). Hearing-impaired listeners need the same (BATOD, CV-04)."""
FILLED_S: Final = 4
"""Sound that goes on for so long without a silence is looked at as if it were one."""
FILLED_MORE_DB: Final = 2.0
"""Speech of four seconds comes down by 30 dB in its softest fiftieth, mostly; noise does not."""
LOWEST_PER_CENT: Final = 2
"""How soft its softest frames are is judged at this share of them."""
STEADY_PER_CENT: Final = 10
"""How steady they are is judged up to this share of them."""
FILLED_STEADY_DB: Final = 4.0
"""Slow words without a pause (a hundred and fifty-nine lamps on the ferry) come down by 20 dB only;
from their softest fiftieth to their softest tenth lie 8.5 dB and more in 39 of emma's. Noise that
fills a tenth of a stretch stays within 1.5 dB."""
GAP_SHORTEST_S: Final = 0.25
"""Shorter silences are not searched for noise."""
HUM_BELOW_DB: Final = 60.0
"""Hum is told if it is not further below the speech than this."""
HUM_ERROR_DB: Final = 40.0
"""From there on it is an error."""
HUM_STANDS_DB: Final = 10.0
"""How far each hum line stands out of what is beside it."""
HUM_LINES: Final = 3
"""Of the first six multiples of the mains, so many must stand out."""
DC_WARNING: Final = 0.001
"""Shift of the zero line, full scale 1."""
DC_ERROR: Final = 0.01
"""From there on it is an error."""
CHANNEL_DEAD_DB: Final = 30.0
"""A channel so far below the other is silent."""
CHANNEL_UNEQUAL_DB: Final = 2.5
"""A channel so far above the other is louder; twice as far is an error."""
CHANNEL_AGAINST: Final = -0.3
"""Correlation of the channels from which they cancel in one loudspeaker."""
CHANNEL_WINDOWS_DEAD: Final = 2
"""So many windows of speech on one channel alone are a channel that drops out."""
CHANNEL_LOUD_DB: Final = 15.0
"""Windows from so little below the speech on are looked at."""
BAND_LOST_DB: Final = 41.0
"""A band of 500 Hz whose loudest 2 % of windows lie so far below the loudest band is empty. The
bands of the bundled voices lie within 29 dB up to 6.5 kHz; a low pass at 5 kHz leaves 45 dB at 6 to
6.5 kHz in the one that hisses most (michael)."""
BAND_ERROR_BELOW_HZ: Final = 6500
"""Speech without sound from here on loses s, f and th (CV-08)."""
BAND_NEEDED_HZ: Final = 9000
"""What voices need for young and hard-of-hearing listeners (CV-07)."""
BAND_FEWEST_WINDOWS: Final = 200
"""Speech in fewer windows (of 23 ms at 44.1 kHz) is too little to tell."""
TOP_HIGH_SHARE: Final = 0.7
"""Tops that reach this share of the highest are looked at."""
TOP_NEAR_SHARE: Final = 0.88
"""Samples that reach this share of a top are near it."""
TOP_BROAD: Final = 9.5
"""Mean number of samples near a top, at 44.1 kHz, from which tops are flat; of voices whose own are
broader `checker/faults/voice_edges.json` says from where."""
TOP_FEWEST: Final = 40
"""Fewer high tops tell nothing."""
ROW_SAMPLES: Final = 5
"""Equal samples one after another. A soft, slow wave has three or four by rounding."""
ROW_SHARE: Final = 0.3
"""They count from this share of the highest sample on."""
ROW_FEWEST: Final = 8
"""So many rows are clipping."""
