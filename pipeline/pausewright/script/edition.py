"""The edition: a short mark made from what a script says, the same on track, sheet and record.

It changes with every word, key, sound file or declared value, and with nothing else: not with
line breaks, comments, the order of settings or the file's name. Settings and declared silences
count, because two recordings that differ in them are two editions.
"""

from __future__ import annotations

import dataclasses
import hashlib
import itertools
import json
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pausewright.intake.file_kinds import PICTURE_OR_SOUND
from pausewright.intake.plain_file import sha256_of
from pausewright.problems import PausewrightError, Place
from pausewright.script.model import InForce, Sound, Text

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pausewright.script.model import Script

_ALPHABET: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without 0, 1, I and O, which are misread."""
_LENGTH: Final = 6


def edition(script: Script) -> str:
    """Return the edition mark: six signs, for example "7KQ3MX"."""
    digest = hashlib.sha256(content_bytes(script)).digest()
    number = int.from_bytes(digest[:8], "big")
    signs = ""
    for _ in range(_LENGTH):
        number, index = divmod(number, len(_ALPHABET))
        signs += _ALPHABET[index]
    return signs


def content_bytes(script: Script) -> bytes:
    """Return the content of a script in a canonical form."""
    content = {"settings": plain_data(script.settings), "parts": plain_data(script.parts)}
    return json.dumps(content, sort_keys=True, ensure_ascii=True).encode()


def plain_data(value: object) -> object:
    """Return a value of a script as JSON data, places left out, files by their bytes."""
    if isinstance(value, str):
        return " ".join(value.split())
    if isinstance(value, InForce):
        return plain_data(value.value)
    if isinstance(value, list | tuple):
        return _joined(value)
    if isinstance(value, Place | Path):
        return None
    if isinstance(value, Fraction):
        return str(value)
    if (names := _names(type(value))) is not None:
        fields = _fields(value, names)
        if isinstance(value, Sound):
            return {**fields, "sha256": _file_sha256(value)}
        return {"is": type(value).__name__, **fields}
    if isinstance(value, dict):
        return {str(k): plain_data(v) for k, v in value.items()}
    return value


_LATER: Final = frozenset({"slate", "is_slate", "takes", "recording_rights"})
"""Fields that came after editions were in use: where they say nothing, an edition is as it was."""
_UNSAID: Final = frozenset(
    {"place", "places", "path", "arranged_pace", "arranged_look_time_s", "given"}
)


def _fields(value: object, names: Iterable[str]) -> dict[str, object]:
    found = ((name, getattr(value, name)) for name in names)
    return {name: plain_data(one) for name, one in found if one or name not in _LATER}


_known: dict[type, tuple[str, ...] | None] = {}


def _names(kind: type) -> tuple[str, ...] | None:
    """Return the fields of a kind of value that count; None if it is no kind with fields."""
    if kind not in _known:
        unsaid = _UNSAID - {"path"} if issubclass(kind, Sound) else _UNSAID
        is_one = dataclasses.is_dataclass(kind)
        names = (one.name for one in dataclasses.fields(kind)) if is_one else None
        _known[kind] = None if names is None else tuple(one for one in names if one not in unsaid)
    return _known[kind]


def _joined(items: Sequence[object]) -> list[object]:
    """Return values with neighbouring texts as one: where a line breaks does not count."""
    out: list[object] = []
    for is_text, run in itertools.groupby(items, lambda one: isinstance(one, Text)):
        if is_text:
            words = " ".join(one.text for one in run if isinstance(one, Text))
            out.append({"is": "Text", "text": plain_data(words)})
        else:
            out += map(plain_data, run)
    return out


def _file_sha256(sound: Sound) -> str:
    """Return the sum of a file's bytes, "" if it cannot be read: that is told elsewhere."""
    try:
        return sha256_of(sound.file, kind=PICTURE_OR_SOUND, inside=sound.folder)
    except PausewrightError:
        return ""
