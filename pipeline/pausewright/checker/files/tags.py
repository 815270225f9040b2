"""What a delivered file says about itself: title, edition, version label and chapters.

The checker's only module that imports mutagen.
"""

from __future__ import annotations

import io
import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, BinaryIO

from pausewright.checker.files.draft import EXCERPT
from pausewright.checker.limits.shown import TAG_SLACK_S
from pausewright.checker.result.findings import Finding
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import TRACK
from pausewright.intake.plain_file import opened_sound
from pausewright.intake.tag_sizes import TagsError, flac_head, id3_tag
from pausewright.problems import TrackError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path


@frozen
class Chapter:
    """A place to jump to."""

    start_s: Fraction
    end_s: Fraction | None
    """None where the format holds starts only."""
    title: str = ""


@frozen
class TrackTags:
    """Tags of a track; an empty string for what is not there."""

    title: str = ""
    edition: str = ""
    version_label: str = ""
    chapters: tuple[Chapter, ...] = ()
    """By start."""
    can_hold_chapters: bool = False
    number: str = ""
    """Which piece of how many, as "2/3"."""
    state: str = ""
    """"draft" as long as nobody signed for it."""
    is_proof: bool = False
    """Whether it says that it is a proof and no track."""
    texts: tuple[tuple[str, str], ...] = ()
    """All that can be read in them, under the name of each tag."""


def read_tags(path: Path) -> TrackTags:
    """Return the tags of an MP3, FLAC or MP4; empty ones for another file or damaged tags.

    Raises
    ------
    TrackError
        If it is no plain file, or its tags are more than a library should get.
    """
    import mutagen  # noqa: PLC0415  only when a track is read

    with opened_sound(path, TRACK) as file:
        try:
            return _read(file, path.suffix.lower())
        except (mutagen.MutagenError, OSError, ValueError, OverflowError, EOFError, TagsError):
            return TrackTags()


def _read(file: BinaryIO, suffix: str) -> TrackTags:
    """Give the library what was measured, and no more of the file where that can be."""
    from mutagen.flac import FLAC  # noqa: PLC0415  only when a track is read
    from mutagen.mp4 import MP4  # noqa: PLC0415

    head = file.read(12)
    file.seek(0)
    if head[:4] == b"fLaC":
        return _vorbis(FLAC(io.BytesIO(flac_head(file))).tags or {})
    if head[4:8] == b"ftyp":
        held = MP4(file)
        return _atoms(held.tags or {}, held.chapters or ())
    if head[:3] == b"ID3" or suffix == ".mp3":
        tag = id3_tag(file)
        if file.read(4) == b"fLaC":
            file.seek(-4, 1)
            return _vorbis(FLAC(io.BytesIO(flac_head(file))).tags or {})
        return _id3_of(tag)
    return TrackTags()


def _texts(frames: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    """Walk all texts of an ID3 tag, those inside its chapters too."""
    for key, frame in frames.items():
        name = key.partition(":")[0]
        for part in ("desc", "text", "url", "owner"):
            held = getattr(frame, part, None)
            if held:
                yield name, str(held)
        yield from _texts(getattr(frame, "sub_frames", {}))


@lru_cache(maxsize=4)  # a check asks several times what a track says of itself
def _id3_of(tag: bytes) -> TrackTags:
    from mutagen.id3 import ID3, ID3NoHeaderError  # noqa: PLC0415  only when a track is read

    try:
        return _id3(dict(ID3(io.BytesIO(tag))))
    except ID3NoHeaderError:
        return _id3({})


def _id3(tags: Mapping[str, Any]) -> TrackTags:
    own = {
        frame.desc.upper(): str(frame)
        for key, frame in tags.items()
        if key.startswith("TXXX") and hasattr(frame, "desc")
    }
    chapters = [
        Chapter(
            Fraction(int(frame.start_time), 1000),
            Fraction(int(frame.end_time), 1000),
            "".join(str(sub) for name, sub in frame.sub_frames.items() if name == "TIT2"),
        )
        for key, frame in tags.items()
        if key.startswith("CHAP")
    ]
    return TrackTags(
        title=str(tags.get("TIT2", "")),
        edition=own.get("EDITION", ""),
        version_label=own.get("VERSION LABEL", ""),
        chapters=tuple(sorted(chapters, key=lambda c: c.start_s)),
        can_hold_chapters=True,
        number=str(tags.get("TRCK", "")),
        state=own.get("STATE", ""),
        is_proof="PROOF" in own,
        texts=tuple(_texts(tags)),
    )


def _vorbis(tags: Any) -> TrackTags:  # noqa: ANN401  mutagen has no types
    pairs = {str(key).upper(): str(value) for key, value in tags}
    chapters = []
    for key, value in pairs.items():
        time = re.fullmatch(r"(\d{2,9}):([0-5]\d):([0-5]\d)\.(\d{3})", value, re.ASCII)
        if re.fullmatch(r"CHAPTER\d{3}", key, re.ASCII) and time:
            h, m, s, ms = (int(part) for part in time.groups())
            start_s = Fraction(((h * 60 + m) * 60 + s) * 1000 + ms, 1000)
            chapters.append(Chapter(start_s, None, pairs.get(f"{key}NAME", "")))
    number = "/".join(filter(None, (pairs.get("TRACKNUMBER"), pairs.get("TRACKTOTAL"))))
    return TrackTags(
        title=pairs.get("TITLE", ""),
        edition=pairs.get("EDITION", ""),
        version_label=pairs.get("VERSION LABEL", ""),
        chapters=tuple(sorted(chapters, key=lambda c: c.start_s)),
        can_hold_chapters=True,
        number=number,
        state=pairs.get("STATE", ""),
        is_proof="PROOF" in pairs,
        texts=tuple((str(key), str(value)) for key, value in tags),
    )


def _atoms(tags: Mapping[str, Any], listed: Iterable[Any]) -> TrackTags:
    """Return the tags of an MP4; its free-form fields are called `----:owner:NAME`.

    Many kinds of file end so: only one that names its edition is known to be a track with chapters.
    """
    own = {
        key.rpartition(":")[2].upper(): bytes(values[0]).decode("utf-8", "replace")
        for key, values in tags.items()
        if key.startswith("----:") and values
    }
    return TrackTags(
        title=str((tags.get("\xa9nam") or [""])[0]),
        chapters=tuple(
            Chapter(Fraction(round(1000 * one.start), 1000), None, one.title) for one in listed
        ),
        can_hold_chapters="EDITION" in own,
        edition=own.get("EDITION", ""),
        version_label=own.get("VERSION LABEL", ""),
        state=own.get("STATE", ""),
        texts=(
            *(
                (key, _plain(value))
                for key, values in tags.items()
                if key != "covr"
                for value in _listed(values)
            ),
            *(("chapter", str(one.title)) for one in listed),
        ),
    )


def _listed(values: object) -> Iterable[object]:
    return values if isinstance(values, list | tuple) else (values,)


def _plain(value: object) -> str:
    return value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value)


def refuse_proofs(paths: Iterable[Path]) -> None:
    """Refuse proofs: they were made to be listened to once, their silences are shortened.

    Raises
    ------
    TrackError
        If a file says by its tags, or by its name, that it is one.
    """
    for path in paths:
        if path.stem.endswith("_proof") or read_tags(path).is_proof:
            raise TrackError(
                f"‘{path.name}’ is a proof, not for use: its silences are shortened, so it is no "
                "track",
                "build the script without --proof, and check that track",
            )


def refuse_excerpts(paths: Iterable[Path]) -> None:
    """Refuse some questions of a track where a whole track is wanted.

    Raises
    ------
    TrackError
        If a file says by its tags that it is an excerpt.
    """
    for path in paths:
        if read_tags(path).state == EXCERPT:
            raise TrackError(
                f"‘{path.name}’ is an excerpt of a track, and no track",
                "it was compared with its track when it was made; without --script it is measured",
            )


def joined_tags(tags: Sequence[TrackTags], lengths_s: Sequence[Fraction]) -> TrackTags:
    """Return the tags of a track in pieces: those of the first, with the chapters of all."""
    chapters = []
    start_s = Fraction(0)
    for one, length_s in zip(tags, lengths_s, strict=True):
        for chapter in one.chapters:
            end_s = None if chapter.end_s is None else start_s + chapter.end_s
            chapters.append(Chapter(start_s + chapter.start_s, end_s, chapter.title))
        start_s += length_s
    return replace(tags[0], chapters=tuple(chapters))


def judge_tags(tags: TrackTags, edition: str | None, length_s: Fraction) -> list[Finding]:
    """Return the findings about a track's edition and chapters."""
    findings = []
    if edition and tags.edition and tags.edition != edition:
        findings.append(
            Finding(
                "edition-differs",
                "error",
                f"the track carries edition {tags.edition}, the script is edition {edition}",
                "use the track and the papers of one edition",
            )
        )
    if edition and not tags.edition and tags.can_hold_chapters:
        findings.append(
            Finding(
                "edition-missing",
                "warning",
                "the track does not say which edition it is",
                "make sure that it is the track of this script",
            )
        )
    if tags.can_hold_chapters and not tags.chapters:
        findings.append(
            Finding(
                "chapters-missing",
                "warning",
                "the track has no chapters",
                "build it again if it must be possible to jump to a question",
            )
        )
    for chapter in tags.chapters:
        end_s = chapter.start_s if chapter.end_s is None else chapter.end_s
        if end_s < chapter.start_s or max(end_s, chapter.start_s) > length_s + TAG_SLACK_S:
            findings.append(
                Finding(
                    "chapter-outside",
                    "error",
                    "a chapter lies outside the track or ends before it starts",
                    "build the track again",
                    at_s=chapter.start_s,
                    measured=end_s,
                    expected=length_s,
                    unit="s",
                )
            )
    return findings
