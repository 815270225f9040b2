"""The build record: what was built, from what, by what, with the hash of every file.

It lies with the confidential files and still names no candidate's need. Its shape is
`records.shapes.BuildRecord`.
"""

from __future__ import annotations

import platform
from collections import defaultdict
from fractions import Fraction
from importlib import metadata
from typing import TYPE_CHECKING, Final, Literal

from pausewright.files.writing import ROOM_HINT, unwritable, write_file
from pausewright.intake.file_kinds import BUILT_FILE
from pausewright.intake.plain_file import sha256_of
from pausewright.plan.clock import Clock, exact_seconds
from pausewright.plan.timeline import Wait
from pausewright.problems import OutputError
from pausewright.records.record_files import record_text
from pausewright.records.shapes import RecordedFile, RecordedSilence, RecordedTrack

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from pausewright.plan.timeline import Timeline
    from pausewright.records.shapes import BuildRecord

PACKAGES: Final = (
    "pausewright",
    "piper-tts",
    "hibari-tts",
    "onnxruntime",
    "numpy",
    "scipy",
    "soxr",
    "soundfile",
    "lameenc",
    "imageio-ffmpeg",
    "fontpkg-noto-sans",
    "mutagen",
)
"""Packages whose version can change a track or a video."""


def recorded_file(path: Path, kind: str, folder: Path) -> RecordedFile:
    """Return the entry of a finished file, hashed from the disk.

    Raises
    ------
    OutputError
        If the file cannot be read back.
    ValueError
        If it does not lie below `folder`.
    """
    try:
        n_bytes, sha256 = path.stat().st_size, sha256_of(path, kind=BUILT_FILE)
    except OSError as error:
        raise OutputError(
            f"‘{path}’ was written and cannot be read back ({error.strerror})",
            "build again, or choose another folder with --out",
        ) from error
    return RecordedFile(path.relative_to(folder).as_posix(), kind, n_bytes, sha256)


def recorded_track(timeline: Timeline, channels: int) -> RecordedTrack:
    """Return the audio's entry."""
    length_s = exact_seconds(Clock(timeline.rate_hz).seconds(timeline.n_samples))
    n_channels: Literal[1, 2] = 1 if channels == 1 else 2
    return RecordedTrack(timeline.rate_hz, n_channels, timeline.n_samples, length_s)


def declared_silences(timeline: Timeline) -> dict[str, RecordedSilence]:
    """Return count and exact sum of the declared silences by kind, in the order of first use."""
    waits: defaultdict[str, list[Fraction]] = defaultdict(list)
    for placed in timeline.placed:
        if isinstance(placed.step, Wait):
            waits[placed.step.kind].append(placed.step.wait_s)
    return {
        kind: RecordedSilence(len(found), exact_seconds(sum(found, Fraction(0))))
        for kind, found in waits.items()
    }


def installed_versions(packages: Iterable[str] = PACKAGES) -> dict[str, str]:
    """Return the versions of Python, the system and the packages that are installed."""
    versions = {"python": platform.python_version(), "system": platform.system()}
    for package in packages:
        try:
            versions[package] = metadata.version(package)
        except metadata.PackageNotFoundError:
            continue
    return versions


def write_record(record: BuildRecord, path: Path) -> None:
    """Write the record, for its owner only; it appears whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    try:
        write_file(path, record_text(record), private=True)
    except OSError as error:
        raise unwritable(path, error, ROOM_HINT) from error
