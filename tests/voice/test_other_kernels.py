"""The bundled voices computed in other ways: other samples, the promises kept.

Here the runtime merges no steps of a network; `scripts/other_processors.py` runs the whole suite
so, and with another release of the runtime.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
import onnxruntime
import pytest
from support.voices import other_kernels
from support.voices.heard_words import UNDERSTOOD, is_about_as_long, share_heard
from support.voices.other_kernels import SENTENCES, SETTINGS, PlainOptions, takes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Takes = list[NDArray[np.float32]]

pytestmark = pytest.mark.voice

RATES_HZ: Final = {"joe": 22_050, "iris": 24_000}


@pytest.fixture(scope="module")
def usual() -> dict[str, Takes]:
    """Return each voice's takes as this run computes them."""
    return {voice: takes(voice) for voice in SETTINGS}


def keep_their_promises(voice: str, found: Takes, usual: Takes) -> None:
    """Every take is about as long as usual, not louder, and its words are heard."""
    for one, like in zip(found, usual, strict=True):
        assert is_about_as_long(len(one) / RATES_HZ[voice], len(like) / RATES_HZ[voice])
        assert np.abs(one).max() < 4 * np.abs(like).max()
    sounds = [(one, RATES_HZ[voice], said) for one, said in zip(found, SENTENCES, strict=True)]
    assert min(share_heard(sounds)) >= UNDERSTOOD


@pytest.mark.skipif(
    onnxruntime.SessionOptions is PlainOptions, reason="this run computes so throughout"
)
@pytest.mark.parametrize("voice", SETTINGS)
def test_steps_that_are_not_merged(
    voice: str, usual: dict[str, Takes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice the same bytes, and none of those that merged steps give."""
    monkeypatch.setattr(onnxruntime, "SessionOptions", PlainOptions)

    found = takes(voice)

    for one, again in zip(found, takes(voice), strict=True):
        assert np.array_equal(one, again)
    for one, like in zip(found, usual[voice], strict=True):
        assert not np.array_equal(one, like)
    keep_their_promises(voice, found, usual[voice])


@pytest.mark.parametrize("way", ["other", "Plain"])
def test_a_way_that_is_not_known_is_refused(way: str) -> None:
    """A slip of the pen must not run the usual way and look as if it had been another."""
    with pytest.raises(ValueError, match="no such way to compute"):
        other_kernels.compute_as(way)
