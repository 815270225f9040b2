"""Takes of an utterance as files of a store: for the stores of other folders, and to be sent."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from pausewright.voice.store import TakeStore
from pausewright.voice.takes_in_use import MOST_TAKES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pausewright.season.asks import TakeAsk
    from pausewright.voice.studio import Studio

KIND = "takes"
"""Of entries that hold finished takes."""


def provide(studio: Studio, ask: TakeAsk, source: Path, target: Path) -> None:
    """Let the takes of an utterance that are kept beside one script be kept beside another too.

    Raises
    ------
    OutputError
        If they cannot be written.
    """
    store, other = TakeStore(source), TakeStore(target)
    for key in _keys_of(studio, ask):
        entry = store.read(KIND, key)
        if entry is not None and other.read_facts(KIND, key) is None:
            content, facts = entry
            other.write(KIND, key, content, facts)


def is_kept(folder: Path, key: str) -> bool:
    """Return whether the finished take of a key is kept beside the scripts of a folder."""
    return TakeStore(folder).read_facts(KIND, key) is not None


def take_files(studio: Studio, ask: TakeAsk) -> tuple[str, ...]:
    """Return the files of the kept takes of an utterance, relative to the script's folder."""
    folder = ask.setting.folder
    store = TakeStore(folder)
    return tuple(
        file.relative_to(folder).as_posix()
        for key in _keys_of(studio, ask)
        if store.read_facts(KIND, key) is not None
        for file in store.files_of(KIND, key)
    )


def _keys_of(studio: Studio, ask: TakeAsk) -> Iterator[str]:
    """Give the keys of the take that is declared, and of those that may be used in its place."""
    yield ask.key
    speech = ask.utterance.speech
    for further in range(1, MOST_TAKES):
        other = replace(ask.utterance, speech=replace(speech, take=speech.take + further))
        yield studio.job_maker.job(other).finished_key
