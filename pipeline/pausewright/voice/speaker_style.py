"""A speaker's style: what makes one network sound like one person, and its other takes.

The table has a row for each number of symbols of an utterance. Another take of the same words is
another row: the network has no noise to seed. Rows near to each other sound alike, so the shares
lie far apart.
"""

from __future__ import annotations

import hashlib
import io
from typing import TYPE_CHECKING, Final

import numpy as np

from pausewright.intake.file_kinds import VOICE_STYLE
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import VoiceError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from pausewright.voice.profile import VoiceProfile

SHAPE: Final = (510, 256)
TAKES: Final = (1.0, 1.8, 0.55, 3.2, 1.35, 0.75)
"""Which row each take uses, as a share of the number of symbols."""
_SAME_ROW: Final = 1e-3
_SHIFT_ROWS: Final = 2.5
_STEP: Final = (5**0.5 - 1) / 2
"""Share of the range by which each take after those lies on: the golden section, so that none falls
on another."""


def read_style(profile: VoiceProfile) -> NDArray[np.float32]:
    """Return a speaker's table, shape (510, 256), float32.

    Raises
    ------
    VoiceError
        If the file is missing, damaged, of another shape, or not the one that the profile states.
    """
    file = profile.style_file()
    held = file_bytes(file, VOICE_STYLE, profile.place)
    if profile.sha256 is not None and hashlib.sha256(held).hexdigest() != profile.sha256:
        raise VoiceError(
            f"the file {file.name} of the voice ‘{profile.name}’ is damaged: "
            "it is not the one that its profile states",
            "pip install --force-reinstall pausewright"
            if profile.bundled
            else f"copy the file again, or correct `sha256:` in {profile.file.name}",
        )
    try:
        table = np.load(io.BytesIO(held), allow_pickle=False)
    except (ValueError, EOFError, OSError) as fault:
        raise VoiceError(
            f"the file {file.name} of the voice ‘{profile.name}’ cannot be read",
            "it has to be a table of styles as NumPy saves it (.npy)",
        ) from fault
    if table.shape != SHAPE or table.dtype.kind != "f" or not np.isfinite(table).all():
        raise VoiceError(
            f"the file {file.name} of the voice ‘{profile.name}’ is no table of "
            f"{SHAPE[0]} styles of {SHAPE[1]} numbers",
            "name another file, or copy it again",
        )
    return np.asarray(table, dtype=np.float32)


def style_row(table: NDArray[np.float32], n_symbols: int, take: int) -> NDArray[np.float32]:
    """Return the style of a take, shape (1, 256), float32.

    Take 1 is the row of the utterance's own number of symbols. Between two rows lies a mixture of
    both, so that each take of the shortest word has a style of its own.
    """
    at = row_of(n_symbols, take)
    below = int(at)
    share = np.float32(at - below)
    above = table[min(below + 1, SHAPE[0] - 1)]
    row: NDArray[np.float32] = table[below] + share * (above - table[below])
    return row[np.newaxis]


def row_of(n_symbols: int, take: int) -> float:
    """Return which row a take of so many symbols uses, 0 to 509, counted from 0.

    What would lie before the first row or after the last is turned back at that end. Where that
    lands on the place of an earlier take (204 symbols, takes 2 and 4), the later one moves on.
    """
    rows: list[float] = []
    for one in range(1, take + 1):
        at = _turned_back(n_symbols, one)
        while any(abs(at - other) < _SAME_ROW for other in rows):
            at += _SHIFT_ROWS if at + _SHIFT_ROWS <= SHAPE[0] - 1 else -_SHIFT_ROWS
        rows.append(at)
    return rows[-1]


def _turned_back(n_symbols: int, take: int) -> float:
    last = SHAPE[0] - 1
    if take <= len(TAKES):
        share = TAKES[take - 1]
    else:
        share = TAKES[2] + (TAKES[3] - TAKES[2]) * (((take - len(TAKES)) * _STEP) % 1)
    at = abs(share * n_symbols - 1) % (2 * last)
    return min(at, 2 * last - at)
