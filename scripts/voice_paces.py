"""Measure paces of voices, and whether takes are the same bytes: on one worker, two, and kept.

    python3 scripts/voice_paces.py emma george michael iris --store DIR

The calibration passage is voiced at each pace as a script's words are, and measured as its own
docstring says (pausewright.voice.calibrate): words a minute with 0.4 s between sentences. At the
usual pace it is voiced twice, by one worker and by two into a store of its own, and read once more
from what is kept; takes are compared sample by sample.
"""

from __future__ import annotations

import argparse
import sys
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "pipeline"), str(ROOT / "voices")]

from fit_speech_lengths import RATE_HZ, studio_at, utterances  # noqa: E402  after the paths are set
from pausewright.voice.calibrate import passage, passage_wpm  # noqa: E402

if TYPE_CHECKING:
    from collections.abc import Sequence

    from pausewright.voice.studio import Studio
    from pausewright.wording.line_elements import Utterance

PACES_WPM: Final = (100, 130, 160)
USUAL_WPM: Final = 130


def voiced(said: Sequence[Utterance], store: Path, pace_wpm: int, workers: int) -> Studio:
    """Return a studio with the takes of utterances."""
    studio = studio_at(store, pace_wpm, workers)
    studio.record(said)
    return studio


def n_differing(studios: Sequence[Studio], said: Sequence[Utterance]) -> int:
    """Return how many takes are not the same bytes in all studios."""
    return sum(len({studio.take(one).samples.tobytes() for studio in studios}) > 1 for one in said)


def main() -> None:
    """Measure, and print a line for each voice and pace."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("voices", nargs="+")
    parser.add_argument("--store", type=Path, required=True)
    options = parser.parse_args()
    for voice in options.voices:
        said = utterances(voice, passage())
        folder = options.store / voice
        for asked_wpm in PACES_WPM:
            studio = voiced(said, folder, asked_wpm, 1)
            lengths_s = [Fraction(studio.n_sound_samples(one), RATE_HZ) for one in said]
            found_wpm = passage_wpm(lengths_s)
            print(f"{voice} at {asked_wpm}: {found_wpm:.1f} ({found_wpm / asked_wpm - 1:+.1%})",
                  flush=True)  # fmt: skip
            if asked_wpm == USUAL_WPM:
                same = [studio, voiced(said, options.store / f"{voice} by two", asked_wpm, 2),
                        voiced(said, folder, asked_wpm, 2)]  # fmt: skip
                print(f"{voice}: {n_differing(same, said)} of {len(said)} takes differ between one "
                      "worker, two, and what is kept", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
