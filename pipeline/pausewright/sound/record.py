"""The build record: what was built, from what, by what, with the hash of every file.

It lies with the confidential files and still names no candidate's need. Its shape is published
in `build_record.schema.json`.
"""

from __future__ import annotations

import hashlib
import json
import platform
import secrets
from collections import defaultdict
from dataclasses import asdict, dataclass, field
from fractions import Fraction
from importlib import resources
from typing import TYPE_CHECKING, Any, Final

from pausewright.plan.clock import Clock, exact_seconds
from pausewright.plan.timeline import Wait
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from pausewright.plan.timeline import Timeline

RECORD_FORMAT: Final = 1
"""Raised when a reader of older records would misread a new one."""

NOT_HEARD: Final = "Not heard by a person yet"

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

_READ_BYTES: Final = 1 << 20


@dataclass(frozen=True, slots=True)
class RecordedFile:
    """One file that was built."""

    path: str
    """Relative to the folder of the build, with forward slashes."""
    kind: str
    """For example `track`, `captions`, `transcript`, `paper`, `report`."""
    n_bytes: int
    sha256: str


@dataclass(frozen=True, slots=True)
class RecordedVoice:
    """A voice that is heard."""

    name: str
    language: str
    licence: str
    origin: str
    engine: str
    setting: str
    """The engine's own setting that gives the pace, exactly."""
    pace_wpm: str
    """Words a minute that the voice was calibrated to, as a decimal."""


@dataclass(frozen=True, slots=True)
class RecordedTrack:
    """The audio."""

    rate_hz: int
    channels: int
    n_samples: int
    length_s: str
    """Exact: a decimal, or a fraction such as "20/3"."""


@dataclass(frozen=True, slots=True)
class RecordedSilence:
    """All silences of one kind, as declared."""

    count: int
    total_s: str
    """Exact: a decimal, or a fraction such as "20/3"."""


@dataclass(frozen=True, slots=True)
class BuildRecord:
    """What was built."""

    title: str
    edition: str
    version_label: str
    arrangement: str
    """Its name in the arrangements' file; "standard" if there is none."""
    build_key: str
    """Hash of everything that decides the bytes: the same key, the same track."""
    loudness_target_lufs: str
    files: tuple[RecordedFile, ...]
    voices: tuple[RecordedVoice, ...]
    track: RecordedTrack
    declared: Mapping[str, RecordedSilence]
    """By kind of silence."""
    versions: Mapping[str, str]
    warnings: tuple[str, ...] = ()
    heard_by: str = NOT_HEARD
    record_format: int = field(default=RECORD_FORMAT)


def recorded_file(path: Path, kind: str, folder: Path) -> RecordedFile:
    """Return the entry of a finished file, hashed from the disk.

    Raises
    ------
    OutputError
        If the file cannot be read back.
    ValueError
        If it does not lie below `folder`.
    """
    digest = hashlib.sha256()
    n_bytes = 0
    try:
        with path.open("rb") as file:
            while piece := file.read(_READ_BYTES):
                digest.update(piece)
                n_bytes += len(piece)
    except OSError as error:
        raise OutputError(
            f"‘{path}’ was written and cannot be read back ({error.strerror})",
            "build again, or choose another folder with --out",
        ) from error
    return RecordedFile(path.relative_to(folder).as_posix(), kind, n_bytes, digest.hexdigest())


def recorded_track(timeline: Timeline, channels: int) -> RecordedTrack:
    """Return the audio's entry."""
    length_s = Clock(timeline.rate_hz).seconds(timeline.n_samples)
    return RecordedTrack(timeline.rate_hz, channels, timeline.n_samples, exact_seconds(length_s))


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
    from importlib import metadata  # noqa: PLC0415  loads the reader of e-mails: 16 ms a command

    versions = {"python": platform.python_version(), "system": platform.system()}
    for package in packages:
        try:
            versions[package] = metadata.version(package)
        except metadata.PackageNotFoundError:
            continue
    return versions


def record_text(record: BuildRecord) -> str:
    """Return the record as JSON text: UTF-8, two blanks of indent, fields in a fixed order."""
    return json.dumps(asdict(record), ensure_ascii=False, indent=2) + "\n"


def write_record(record: BuildRecord, path: Path) -> None:
    """Write the record; it appears whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        part.write_text(record_text(record), encoding="utf-8", newline="\n")
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise OutputError(
            f"‘{path}’ cannot be written ({error.strerror})",
            "make room on the disk, or choose another folder with --out",
        ) from error


def record_schema() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of build records."""
    text = resources.files("pausewright.sound").joinpath("build_record.schema.json")
    schema: dict[str, Any] = json.loads(text.read_text(encoding="utf-8"))
    return schema
