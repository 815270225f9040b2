"""What of a version is signed and what is a draft: by its words, its samples and its papers' marks.

A signature holds for what it was given for, as long as that is the same: new words void those for
wording, another sample those for sound and timing, another paper that paper's. Nothing else does.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING, Final

from pausewright.checker.files.sample_hash import samples_sha256
from pausewright.frozen import frozen
from pausewright.plan.timeline import Say
from pausewright.records.record_files import read_kept
from pausewright.records.signed_shapes import TRACK_NEEDS, Signature, Signatures
from pausewright.wording.line_elements import Excerpt, Utterance

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from pausewright.deliver.version import Version

ENDING: Final = ".signatures.json"
"""Of the file of signatures, after the script's name."""
DRAFT: Final = "draft"
"""What a track's tags and a paper's foot say as long as they are not signed."""


@frozen
class Standing:
    """What holds of the signatures of a version."""

    holding: tuple[Signature, ...] = ()
    """Those for words and sound that are still the same, and for a paper at least that is."""

    @property
    def is_track_signed(self) -> bool:
        """Whether somebody signed for its wording, its sound and its timing."""
        return {one.signed_for for one in self.holding} >= set(TRACK_NEEDS)

    @property
    def heard_by(self) -> str:
        """Who signed for the sound, "" if nobody did."""
        heard = [one for one in self.holding if one.signed_for == "sound"]
        return ", ".join(f"{one.signed_by}, {one.signed_on}" for one in heard)

    @property
    def lines(self) -> tuple[str, ...]:
        """Return a line for each signature, for records and papers."""
        return tuple(
            f"{one.signed_for}: {one.signed_by}, {one.signed_on}, edition {one.edition}"
            for one in self.holding
        )


def signatures_file(script: Path) -> Path:
    """Return where the signatures of a script lie."""
    return script.with_name(f"{script.stem}{ENDING}")


def read_signatures(script: Path) -> tuple[Signature, ...]:
    """Return all signatures of a script; none if there is no file of them.

    Raises
    ------
    OutputError
        If the file is there and is none that this version reads.
    """
    found = read_kept(signatures_file(script), Signatures, "signatures", "all is a draft again")
    return found.signed if found is not None else ()


def signatures_for(script: Path, label: str) -> tuple[Signature, ...]:
    """Return the signatures of one version; errors as in `read_signatures`."""
    return tuple(one for one in read_signatures(script) if one.version_label == label)


def signed_marks(signatures: Iterable[Signature]) -> frozenset[str]:
    """Return the content marks of all papers that somebody signed for."""
    return frozenset(
        paper.content_mark
        for one in signatures
        if one.signed_for == "papers"
        for paper in one.papers
    )


def standing(signatures: Iterable[Signature], words: str, samples: Mapping[str, str]) -> Standing:
    """Return what holds for a version as it is now.

    Parameters
    ----------
    signatures : of this version
    words : `words_sha256` of it
    samples : `samples_sha256` of its tracks, by format
    """
    return Standing(tuple(one for one in signatures if _holds(one, words, samples)))


def _holds(one: Signature, words: str, samples: Mapping[str, str]) -> bool:
    if one.signed_for == "wording":
        return one.words == words
    if one.signed_for == "papers":
        return True  # each paper by its own mark
    known = {track.format: track.samples for track in one.tracks}
    return bool(samples) and all(known.get(name) == found for name, found in samples.items())


def words_sha256(version: Version) -> str:
    """Return a hash of what is said in a version, in order, each thing once; not of its times."""
    said: list[list[str]] = []
    for step in version.steps:
        if not isinstance(step, Say):
            continue
        one = step.element
        if isinstance(one, Utterance):
            spoken = [str(part) for part in one.spoken]
            said.append([step.role, str(step.question or ""), one.speech.voice, one.shown, *spoken])
        elif isinstance(one, Excerpt):
            said.append([step.role, str(step.question or ""), one.sound.path])
    distinct = list(dict.fromkeys(json.dumps(row, ensure_ascii=True) for row in said))
    return hashlib.sha256("\n".join(distinct).encode()).hexdigest()


def samples_of(tracks: Sequence[Path]) -> dict[str, str]:
    """Return the hash of the decoded samples of tracks of one version, by format."""
    return {track.suffix[1:]: samples_sha256(track) for track in tracks}
