"""Signing: a person's word for what was built, bound to its words, its samples and its papers.

The files of the build are then written again without marks of a draft, from the same takes; nothing
is voiced. If that fails, the file of signatures is as it was.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final, cast, get_args

from pausewright.checker.papers.pdf_paper import read_paper
from pausewright.deliver.build import build_planned
from pausewright.deliver.build_plan import plan_build
from pausewright.deliver.output_folder import delivered
from pausewright.deliver.project import open_project
from pausewright.deliver.signed import (
    read_signatures,
    samples_of,
    signatures_file,
    words_sha256,
)
from pausewright.deliver.signing_key import signed_by_key
from pausewright.deliver.silent_engines import without_voices
from pausewright.deliver.version import made_versions
from pausewright.files.writing import unwritable, write_file
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.records.record_files import record_text
from pausewright.records.signed_shapes import (
    Signature,
    Signatures,
    SignedFor,
    SignedPaper,
    SignedTrack,
)
from pausewright.screen.room_screen import Sound
from pausewright.video.video_kinds import VideoKind

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from pathlib import Path

    from pausewright.deliver.build_options import Built, Options
    from pausewright.deliver.build_plan import BuildPlan
    from pausewright.deliver.version import Version
    from pausewright.records.shapes import BuildRecord
    from pausewright.sound.track_files import Format

_PAPERS: Final = frozenset(
    {
        "answer-sheet",
        "mark-scheme",
        "running-sheet",
        "reader-copy",
        "interpreter-copy",
        "pausing-sheet",
        "instructions-paper",
    }
)
"""Kinds that say at their foot whether they are drafts."""


@frozen
class Word:
    """What a person says."""

    name: str
    signed_for: str
    """One of `SignedFor`."""
    day: date
    key: Path | None = None
    """A private key (PEM, Ed25519) for signatures that others can verify."""


@frozen
class SignedVersions:
    """What was signed."""

    file: Path
    """Of all signatures of the script."""
    labels: tuple[str, ...]
    built: tuple[Built, ...]
    detached: tuple[Path, ...]
    """Statements and their signatures by key, if there is one."""


def sign(script: Path, word: Word, options: Options, names: Sequence[str] = ()) -> SignedVersions:
    """Sign versions that are built, and write what says "draft" again.

    Parameters
    ----------
    script : what was built
    word : who signs, and for what
    options : where the build lies; how it was built is read from its records
    names : names or labels of versions; none: all

    Raises
    ------
    PausewrightError
        If a version is not built, or not from what is there now; if its takes are no longer kept;
        if a key cannot be read or a file not written.
    """
    name = " ".join(word.name.split())
    if not name:
        raise OutputError("a signature needs a name", 'write: --as "Name of the person"')
    if word.signed_for not in get_args(SignedFor):
        raise OutputError(
            f"‘{word.signed_for}’ is nothing that is signed for",
            f"one of: {', '.join(get_args(SignedFor))}",
        )
    plan, as_built = _current(script, options, names)
    new = tuple(_signature(plan, version, replace(word, name=name)) for version in plan.versions)
    file = signatures_file(script)
    before = read_signatures(script)
    kept = [one for one in before if not any(_replaces(other, one) for other in new)]
    detached = () if word.key is None else signed_by_key(script, new, word.key)
    _write(file, (*kept, *new))
    try:
        labels = [version.label for version in plan.versions]
        quiet = replace(as_built, engines=without_voices(as_built.engines, "signing"))
        built = build_planned(plan_build(script, quiet, labels), quiet)
    except BaseException:
        _write(file, before)
        raise
    return SignedVersions(file, tuple(labels), built, detached)


def _replaces(new: Signature, old: Signature) -> bool:
    """Say whether a person signs again for what they had signed for."""
    return (new.signed_by, new.signed_for, new.version_label) == (
        old.signed_by,
        old.signed_for,
        old.version_label,
    )


def _signature(plan: BuildPlan, version: Version, word: Word) -> Signature:
    record = plan.before[version.label]
    folder = plan.folder
    tracks = samples_of([folder / path for path, _ in record.paths("track")])
    marks = {
        (one.kind, one.content_mark or read_paper(folder / one.path).mark)
        for one in record.files
        if one.kind in _PAPERS
    }
    return Signature(
        signed_by=word.name,
        signed_for=cast("SignedFor", word.signed_for),
        signed_on=word.day.isoformat(),
        title=record.title,
        edition=record.edition,
        version_label=version.label,
        words=words_sha256(version),
        tracks=tuple(SignedTrack(name, found) for name, found in sorted(tracks.items())),
        papers=tuple(SignedPaper(kind, mark) for kind, mark in sorted(marks)),
    )


def _write(file: Path, signatures: Sequence[Signature]) -> None:
    try:
        if not signatures:
            file.unlink(missing_ok=True)
            return
        write_file(file, record_text(Signatures(signatures=1, signed=tuple(signatures))))
    except OSError as error:
        raise unwritable(file, error) from error


# ---- the build that is signed ---------------------------------------------------------------


def _current(script: Path, options: Options, names: Sequence[str]) -> tuple[BuildPlan, Options]:
    """Return a plan in which all that is asked for is built and current, and how it was built."""
    project = open_project(script, options.profiles)
    project.raise_errors()
    versions = made_versions(project, names)
    folder = options.out / script.stem
    records = [delivered(folder, version.label, project.edition) for version in versions]
    there = [
        (version, record)
        for version, record in zip(versions, records, strict=True)
        if record is not None
    ]
    lost = [version.label for version, record in zip(versions, records, strict=True) if not record]
    if names and lost:
        raise OutputError(
            f"version {lost[0]} is not built in edition {project.edition}", "build it first"
        )
    if not there:
        raise OutputError("nothing of this edition is built, so nothing can be signed", "build it")
    labels = [version.label for version, _ in there]
    screens: tuple[Sound, ...] = get_args(Sound)
    for screen in screens:
        found = replace(_as_built(options, there), screen=screen)
        plan = plan_build(script, found, labels)
        if not plan.due:
            return plan, found
    raise OutputError(
        f"version {plan.due[0].label} is not what the script and this program give now",
        "build it again, listen, then sign",
    )


def _as_built(options: Options, there: Sequence[tuple[Version, BuildRecord]]) -> Options:
    """Return options that give files of the kinds that the records list."""
    formats: dict[Format, None] = {}
    videos: dict[VideoKind, None] = {}
    kinds: set[str] = set()
    splits = False
    for version, record in there:
        kinds |= {one.kind for one in record.files}
        for path, _ in record.paths("track"):
            if not version.arrangement.formats:
                formats[cast("Format", path.rpartition(".")[2])] = None
        for path, _ in record.paths("video"):
            videos |= {kind: None for kind in get_args(VideoKind) if path.endswith(f"_{kind}.mp4")}
        splits |= version.arrangement.split is None and bool(record.paths("piece"))
    settings = there[0][0].script.settings
    return replace(
        options,
        formats=tuple(formats) or options.formats,
        videos=tuple(videos),
        text_papers="answer-sheet-text" in kinds,
        mark_scheme="mark-scheme" in kinds and not settings.mark_scheme,
        split_at_stops=splits,
    )
