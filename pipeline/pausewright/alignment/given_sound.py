"""A recording as it is looked at: its sound at a low rate, its spectrum, where it sounds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Protocol

from pausewright.alignment.spectrum import spectrum
from pausewright.alignment.speech import sounding
from pausewright.frozen import frozen
from pausewright.problems import SoundError
from pausewright.sound.streamed import LOW_RATE_HZ, low_sound

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

    from pausewright.alignment.runs import Run
    from pausewright.alignment.spectrum import Spectrum
    from pausewright.alignment.speech import Sounding
    from pausewright.sound.streamed import LowSound

_AROUND_MS = 250
_LONGEST_MS = 25_000


Manner = Literal["figures", "words", "apart"]


class Listener(Protocol):
    """Anything that writes down what it hears in pieces of sound at 16 kHz."""

    def heard(self, clips: Sequence[NDArray[np.float32]], manner: Manner) -> list[str]:
        """Return what is heard in each, the same for the same sound."""


@frozen
class GivenSound:
    """A whole recording, ready to be looked at."""

    sound: LowSound
    spectrum: Spectrum
    sounding: Sounding

    @property
    def active(self) -> float:
        """Return the power of the speech."""
        return float(10 ** (self.sounding.speech_dbfs / 10))

    def pieces(self, run: Run) -> list[NDArray[np.float32]]:
        """Return the sound of a run, with a little around it, in pieces that an ear can take."""
        rows: list[list[int]] = []
        for one in run.stretches:
            if rows and one.end_ms - rows[-1][0] <= _LONGEST_MS:
                rows[-1][1] = one.end_ms
            else:
                rows.append([one.start_ms, one.end_ms])
        return [self.sound.cut(start - _AROUND_MS, end + _AROUND_MS) for start, end in rows]


def given_sound(path: Path, progress: Callable[[int, int], None] | None = None) -> GivenSound:
    """Return a recording, read and measured; `progress` is called with seconds read and in all.

    Raises
    ------
    SoundError
        If it cannot be read, or no sound stands out of its noise.
    """
    sound = low_sound(path, progress)
    found = spectrum(sound.samples, LOW_RATE_HZ)
    where = sounding(found, len(sound.samples) * 1000 // LOW_RATE_HZ)
    if not where.stretches:
        raise SoundError(
            f"no speech stands out of the noise of ‘{path.name}’",
            "listen to it, and name a recording in which somebody speaks",
        )
    return GivenSound(sound, found, where)
