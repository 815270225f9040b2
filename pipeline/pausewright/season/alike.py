"""Whether workers make the same bytes as this machine: packages, voices, and how they sound.

Processors differ in the last bits, so each worker voices one fixed sentence in every voice before
it is given anything; one that sounds otherwise lays, codes and checks, and voices nothing.
"""

from __future__ import annotations

import hashlib
import platform
from typing import TYPE_CHECKING, Final

from pausewright.deliver.build_key import (
    PACKAGES,
    PROGRAM,
    VOICES,
    installed_versions,
    program_digest,
)
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILD_RECORD, VOICE_FILE
from pausewright.intake.plain_file import file_bytes, sha256_of
from pausewright.problems import PausewrightError
from pausewright.season.store import store_of
from pausewright.voice.engine import Request
from pausewright.voice.engine_kinds import built_in_engines
from pausewright.voice.voice_list import all_profiles
from pausewright.wording.line_elements import SpokenPart

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from pausewright.voice.profile import VoiceProfile

ENGINE: Final = ("dask", "distributed", "cloudpickle", "msgpack")
"""Packages by which workers and the season speak with each other."""
SENTENCE: Final = "alpha bravo seven"
"""What every voice says for the comparison; its sounds are in all languages that voices have."""
SILENT: Final = "silent"
"""In place of a hash: the voice cannot say the sentence, on any machine."""


@frozen
class VoiceAsk:
    """A voice that a season needs, and where its profile is found."""

    folder: Path
    """Of a script that names it."""
    name: str


@frozen
class Introduction:
    """What a machine says of itself."""

    host: str
    versions: Mapping[str, str]
    """Of Python, the system and the packages that decide bytes."""
    program: tuple[str, str]
    """Hashes of Pausewright's own files and of the bundled voices' profiles."""
    voices: Mapping[str, str]
    """SHA-256 of profile and files of each voice; why it cannot be had otherwise."""
    sounds: Mapping[str, str]
    """SHA-256 of the sentence in each voice, as the voice gives it."""
    sees_folder: bool
    """Whether it sees the season's folder of work."""
    store_fault: str = ""
    """Why it does not reach the season's store; "" if it does, or there is none."""


def introduce(
    voices: Iterable[VoiceAsk], mark: Path | None, content: str, store: str = ""
) -> Introduction:
    """Return what this machine is.

    Parameters
    ----------
    voices : those that are needed
    mark : a file in the season's folder of work that holds `content`; None: it is not looked for
    content : of that file, and of an object in the store
    store : URL of the season's place in an object store; "" without one
    """
    files: dict[str, str] = {}
    sounds: dict[str, str] = {}
    for one in voices:
        files[one.name], sounds[one.name] = _voice(one)
    return Introduction(
        platform.node(),
        {k: v for k, v in installed_versions((*PACKAGES, *ENGINE)).items() if k != "system"},
        (program_digest(PROGRAM), program_digest(VOICES)),
        files,
        sounds,
        mark is not None and _holds(mark, content),
        _store_fault(store, content),
    )


def unlike(mine: Introduction, theirs: Introduction) -> str:
    """Return in words what keeps a worker from making the same bytes; "" if nothing does."""
    for name in (*mine.versions, *theirs.versions):
        if name == "machine":
            continue  # told by how it sounds
        here, there = mine.versions.get(name, "none"), theirs.versions.get(name, "none")
        if here != there:
            return f"it has {name} {there}, and this machine {here}"
    if mine.program != theirs.program:
        return "its Pausewright has other files under the same version"
    for name, found in mine.voices.items():
        if theirs.voices.get(name) != found:
            return f"its files of the voice ‘{name}’ are others"
    return ""


def sounds_alike(mine: Introduction, theirs: Introduction) -> bool:
    """Return whether a worker's voices give the same samples as this machine's."""
    return mine.sounds == theirs.sounds


def _holds(mark: Path, content: str) -> bool:
    try:
        return file_bytes(mark, BUILD_RECORD) == content.encode()
    except PausewrightError:
        return False


def _store_fault(store: str, content: str) -> str:
    try:
        return store_of(store).reached(content) if store else ""
    except PausewrightError as error:  # no library for it
        return error.message


def _voice(ask: VoiceAsk) -> tuple[str, str]:
    """Return the hash of a voice's files, and that of the sentence."""
    try:
        profile = all_profiles(ask.folder)[ask.name]
        return _files(profile), _sound(profile)
    except (PausewrightError, KeyError) as error:
        return f"not there: {error}", SILENT


def _files(profile: VoiceProfile) -> str:
    kind = built_in_engines()[profile.engine]
    files = [sha256_of(file, kind=VOICE_FILE) for file in kind.files(profile)]
    told = "\n".join([profile.name, profile.engine, profile.language, *files])
    return hashlib.sha256(told.encode()).hexdigest()


def _sound(profile: VoiceProfile) -> str:
    kind = built_in_engines()[profile.engine]
    if kind.keeps_pace:  # recordings are read and not computed
        return SILENT
    engine = kind.load(profile)
    request = Request((SpokenPart(SENTENCE),), profile.language, kind.natural, 1)
    take = engine.synthesise(engine.prepare(request))
    return hashlib.sha256(take.samples.astype("<f4", copy=False).tobytes()).hexdigest()
