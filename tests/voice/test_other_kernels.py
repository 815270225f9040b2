"""The bundled voices computed in other ways: other samples, the promises kept.

Here the runtime merges no steps of a network; in the long set an emulated processor lacks the
wide instructions of this one. `scripts/other_processors.py` runs the whole suite in other ways.
"""

from __future__ import annotations

import platform
import shutil
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
import onnxruntime
import other_kernels
import pytest
from heard_words import UNDERSTOOD, is_about_as_long, share_heard
from other_kernels import SENTENCES, SETTINGS, PlainOptions, takes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Takes = list[NDArray[np.float32]]

pytestmark = pytest.mark.voice

PROCESSOR: Final = "EPYC-Rome"
EMULATOR = shutil.which("qemu-x86_64")
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


@pytest.mark.long
@pytest.mark.timeout(3600)
@pytest.mark.skipif(EMULATOR is None, reason="no qemu-x86_64 on this machine: install qemu-user")
@pytest.mark.skipif(
    platform.machine() not in {"x86_64", "AMD64"} or sys.platform != "linux",
    reason="the emulator runs this Python on Linux on x86-64 only",
)
def test_a_lesser_processor(usual: dict[str, Takes], tmp_path: Path) -> None:
    """Eight numbers at a time in place of sixteen: an AMD EPYC of 2019, emulated, in minutes.

    Where this processor lacks the wide instructions too, takes may come out as usual.
    The emulator is QEMU's user mode; the networks' kernels ask the processor what it can.
    """
    file = tmp_path / "takes.npz"
    code = (
        f"import sys; sys.path[:0] = {sys.path!r}; sys.argv = ['', '', {str(file)!r}]; "
        "import other_kernels; other_kernels.main()"
    )
    python = str(Path(sys.executable).resolve())
    command = [str(EMULATOR), "-cpu", PROCESSOR, python, "-c", code]
    subprocess.run(command, check=True, stdin=subprocess.DEVNULL)

    with np.load(file) as kept:
        for voice in SETTINGS:
            found = [kept[f"{voice}-{nth}"] for nth in range(len(SENTENCES))]
            keep_their_promises(voice, found, usual[voice])


@pytest.mark.parametrize("way", ["other", "Plain"])
def test_a_way_that_is_not_known_is_refused(way: str) -> None:
    """A slip of the pen must not run the usual way and look as if it had been another."""
    with pytest.raises(ValueError, match="no such way to compute"):
        other_kernels.compute_as(way)
