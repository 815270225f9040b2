"""Files that travel with asks and answers, where workers and the season share no folder."""

from __future__ import annotations

import atexit
import hashlib
import os
import shutil
import stat
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar

from pausewright.files.writing import is_private, make_folder, write_file
from pausewright.intake.file_kinds import BUILT_FILE, MB
from pausewright.intake.plain_file import file_bytes
from pausewright.problems import OutputError
from pausewright.season.asks import Bundle, Carried, Made, TakeAsk, VersionAsk, Voiced
from pausewright.season.inputs import files_below
from pausewright.season.parts import Kept, Parts
from pausewright.season.store import Stored, store_of
from pausewright.season.takes import KIND
from pausewright.voice.store import FOLDER as TAKES_FOLDER
from pausewright.voice.store import TakeStore

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from pausewright.season.asks import Outcome, Parcel, TakeNeed, Where

MOST_BUNDLE_BYTES: Final = 500 * MB
"""Scripts, pictures and sounds of one season that are sent to workers."""

Ask = TypeVar("Ask", TakeAsk, VersionAsk)


def parcel_of(folder: Path, paths: Iterable[str], where: Where, place: str) -> Parcel:
    """Return files of a folder with their rights; in the season's store if it has one.

    Parameters
    ----------
    folder : in which they lie
    paths : below it
    where : of the season
    place : in the store, below that of the season

    Raises
    ------
    TrackError
        If one cannot be read.
    StoreError
        If the store does not take one.
    """
    put: Callable[[bytes], bytes | Stored] = bytes
    if where.store:
        put = store_of(where.store).into(place)
    found = []
    for path in paths:
        file = folder / path
        state = file.stat()
        content = file_bytes(file, BUILT_FILE, folder)
        found.append(
            Carried(
                path,
                put(content),
                len(content),
                stat.S_IMODE(state.st_mode),
                is_private(file.parent),
                state.st_mtime_ns,
            )
        )
    return tuple(found)


def unpack(parcel: Parcel, folder: Path) -> None:
    """Write what a parcel holds below a folder, with the rights that it had.

    What came before is there already. Raises StoreError if the store does not give it.
    """
    for one in parcel:
        file = folder / one.path
        if _is_there(file, one):
            continue
        content = one.content
        if not isinstance(content, bytes):
            content = store_of(content.url).get(content)
        make_folder(file.parent, private=one.is_folder_private)
        write_file(file, content, private=not one.mode & 0o077)
        file.chmod(one.mode)
        os.utime(file, ns=(one.changed_ns, one.changed_ns))


def _is_there(file: Path, one: Carried) -> bool:
    """Return whether a file is the one that came before: its time is set when it is whole."""
    try:
        state = file.stat()
    except OSError:
        return False
    return (state.st_size, state.st_mtime_ns) == (one.n_bytes, one.changed_ns)


def bundle_of(where: Where) -> Bundle:
    """Return all files of a season's folder that are not hidden.

    Raises
    ------
    OutputError
        If they are more than is sent.
    """
    files = list(files_below(where.folder, where.out))
    for folder in sorted({file.parent for file in files}):  # the settings of measured voices
        files += sorted((folder / TAKES_FOLDER).glob("paces-*/*.json"))
    n_bytes = sum(file.stat().st_size for file in files)
    if n_bytes > MOST_BUNDLE_BYTES and not where.store:
        raise OutputError(
            f"the workers do not see ‘{where.folder}’, and its {n_bytes // MB} MB are too many to "
            "be sent to each",
            "let them see the folder at the same path, name a store with --results, or leave large "
            "recordings out",
        )
    paths = [file.relative_to(where.folder).as_posix() for file in files]
    parcel = parcel_of(where.folder, paths, where, "season")
    found = hashlib.sha256()
    for one in parcel:
        found.update(f"{one.path} {one.changed_ns} {one.n_bytes}\n".encode())
        content = one.content
        found.update(content if isinstance(content, bytes) else content.sha256.encode())
    return Bundle(found.hexdigest(), parcel)


def landed(ask: Ask, given: Sequence[Outcome]) -> Ask:
    """Return an ask whose folders are this worker's own, in which all that came with it lies."""
    (bundle,) = [one.value for one in given if isinstance(one.value, Bundle)]
    where = ask.where if isinstance(ask, TakeAsk) else ask.test.where
    own = _unpacked(bundle, where)
    if isinstance(ask, TakeAsk):
        folder = own.folder / ask.setting.folder.relative_to(where.folder)
        here = replace(ask, where=own, setting=replace(ask.setting, folder=folder), also=())
    else:
        script = own.folder / ask.test.script.relative_to(where.folder)
        folder = script.parent
        here = replace(ask, test=replace(ask.test, where=own, script=script))
    for one in given:
        if isinstance(one.value, Voiced):
            unpack(one.value.parcel, folder)
        elif isinstance(one.value, Made):
            land_part(Parts(own.work), one.value)
    return here


def land_part(parts: Parts, made: Made) -> None:
    """Keep a part that came in a parcel; one that is there stays."""
    if parts.kept(made.name) is not None:
        return
    with parts.making(made.name) as stage:
        unpack(made.parcel, stage)
        parts.keep(made.name, Kept(stage, made.part, made.rows, made.is_good, made.report))


def kept_takes(needs: Iterable[TakeNeed], where: Where) -> dict[str, Parcel]:
    """Return the kept takes of needs as parcels, by their keys; raises as `parcel_of`."""
    found = {}
    for need in needs:
        folder = need.setting.folder
        files = TakeStore(folder).files_of(KIND, need.key)
        paths = [file.relative_to(folder).as_posix() for file in files]
        found[need.key] = parcel_of(folder, paths, where, f"takes/{need.key}")
    return found


def land_takes(folder: Path, parcel: Parcel) -> None:
    """Keep takes that came in a parcel beside the scripts of a folder; nothing for none."""
    unpack(parcel, folder)


def _unpacked(bundle: Bundle, where: Where) -> Where:
    """Return this worker's own copy of a season's folder."""
    root = _scratch() / bundle.mark
    own = replace(
        where, folder=root / "season", out=root / "out", work=root / "work", is_shared=False
    )
    if not (root / "whole").exists():
        unpack(bundle.parcel, own.folder)
        make_folder(own.work, private=True)
        write_file(root / "whole", b"")
    return own


@cache
def _scratch() -> Path:
    """Return a folder of this process that is removed when it ends."""
    folder = Path(tempfile.mkdtemp(prefix="pausewright-season-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder
