"""An object store through which a season's files travel between machines that share nothing.

Every store that `fsspec` knows (https://filesystem-spec.readthedocs.io) does, by its URL. What
is put there is checked by size and SHA-256 when it is got, so nothing half-written counts. The
store's own library finds keys and hosts in its settings, on each machine; no URL holds a secret.
"""

from __future__ import annotations

import contextlib
import hashlib
import secrets
import time
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final, TypeVar
from urllib.parse import urlsplit

from pausewright.files.writing import make_folder, write_file
from pausewright.frozen import frozen
from pausewright.intake.file_kinds import BUILD_RECORD
from pausewright.intake.plain_file import file_text, resolved
from pausewright.offline import store_allowed
from pausewright.problems import OutputError, PausewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

PAUSES_S: Final = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0)
"""Between attempts, as long as a network may be away."""
HERE: Final = "here"
"""Object by which a worker shows that it reaches the store."""
_OPEN: Final = frozenset({"ftp", "http", "webhdfs"})
"""Protocols that carry everything in the open."""
_HINT: Final = (
    "look at its URL, and at the settings of its library on each machine: docs/season.md says how"
)
_THIS_MACHINE: Final = frozenset({None, "localhost", "127.0.0.1"})
_FORM: Final = "write it as its library takes it: PROTOCOL://PLACE/FOLDER"
_N_TOKEN_BYTES: Final = 12

Got = TypeVar("Got")


class StoreError(OutputError):
    """A store did not do what it was asked for; another time it may."""


@frozen
class Stored:
    """An object in a store, in place of the bytes themselves."""

    url: str
    """Of the season's place in the store."""
    name: str
    """Below that place, with forward slashes."""
    sha256: str
    n_bytes: int


class Store:
    """One season's place in a store."""

    def __init__(self, url: str) -> None:
        """Find the library for a URL; nothing connects yet.

        Raises
        ------
        OutputError
            If no library that is installed knows such a URL.
        """
        import fsspec

        self.url = url
        try:
            with store_allowed():
                self._files, root = fsspec.url_to_fs(url, use_listings_cache=False)
        except (ImportError, ValueError) as error:
            raise OutputError(f"the store ‘{url}’ cannot be used: {error}", _HINT) from error
        self._root = str(root).rstrip("/")

    def put(self, name: str, content: bytes, *, is_patient: bool = True) -> Stored:
        """Keep bytes under a name, unless they are there; raises StoreError."""
        at = f"{self._root}/{name}"
        stored = Stored(self.url, name, hashlib.sha256(content).hexdigest(), len(content))

        def act(n_before: int) -> None:
            with contextlib.suppress(FileNotFoundError):
                if self._files.size(at) == stored.n_bytes:
                    return
            if n_before:  # only some kinds of stores have folders
                self._files.makedirs(at.rpartition("/")[0], exist_ok=True)
            self._files.pipe_file(at, content)

        self._patiently(act, "does not take", name, (0.0, *(PAUSES_S if is_patient else ())))
        return stored

    def get(self, stored: Stored, *, is_patient: bool = True) -> bytes:
        """Return bytes as they were put; raises StoreError if they are gone or others."""
        at = f"{self._root}/{stored.name}"

        def act(n_before: int) -> bytes:
            content = bytes(self._files.cat_file(at))
            if hashlib.sha256(content).hexdigest() != stored.sha256:
                if 0 < n_before == len(PAUSES_S):  # so that whoever makes it again puts it again
                    self._files.rm_file(at)
                raise OSError("it is not whole")
            return content

        return self._patiently(act, "does not give", stored.name, PAUSES_S if is_patient else ())

    def into(self, place: str) -> Callable[[bytes], Stored]:
        """Return what puts bytes below a place, under their own hash."""
        return lambda content: self.put(f"{place}/{hashlib.sha256(content).hexdigest()}", content)

    def reached(self, content: str) -> str:
        """Return why this machine cannot read and write in the store, "" if it can."""
        body = content.encode()
        here = Stored(self.url, HERE, hashlib.sha256(body).hexdigest(), len(body))
        try:
            self.get(here, is_patient=False)
            self.put(f"{HERE}-{secrets.token_hex(_N_TOKEN_BYTES)}", body, is_patient=False)
        except StoreError as error:
            return error.message
        return ""

    def clear(self) -> None:
        """Remove the season's place with all that is in it; raises StoreError."""

        def act(_: int) -> None:
            with contextlib.suppress(FileNotFoundError):
                self._files.rm(self._root, recursive=True)

        self._patiently(act, "does not remove", "", PAUSES_S[:2])

    def begin(self, content: str) -> None:
        """Put the object by which workers show that they reach the store; raises StoreError.

        Where the store is a folder of this machine, others of the machine see nothing in it.
        """
        if "file" in self._files.protocol:
            try:
                make_folder(resolved(Path(self._root)), private=True)
            except OSError as error:
                raise StoreError(
                    f"the store ‘{self.url}’ cannot be made: {error}", _HINT
                ) from error
        self.put(HERE, content.encode(), is_patient=False)

    def _patiently(
        self, act: Callable[[int], Got], does_not: str, name: str, pauses_s: Sequence[float]
    ) -> Got:
        """Do something, once more after each pause; it is told how often it failed before."""
        for n_before, pause_s in enumerate((*pauses_s, None)):
            try:
                with store_allowed():
                    return act(n_before)
            except Exception as error:
                if pause_s is None:
                    what = f"the store ‘{self.url}’ {does_not} {name or 'what lies in it'}"
                    why = str(error).strip().partition("\n")[0] or type(error).__name__
                    raise StoreError(f"{what}: {why}", _HINT) from error
                time.sleep(pause_s)
        raise AssertionError


@cache
def store_of(url: str) -> Store:
    """Return the store of a URL; one for each in a process."""
    return Store(url)


def checked_url(text: str, *, is_unencrypted: bool) -> str:
    """Return the URL of a store as it is typed, without a stroke at its end.

    Raises
    ------
    OutputError
        If it is no such URL, holds a secret, or would carry tests in the open.
    """
    try:
        parts = urlsplit(text)
        host, is_secret = parts.hostname, parts.password is not None
    except ValueError:
        raise OutputError(f"‘{text}’ is no URL of a store", _FORM) from None
    if not parts.scheme or "::" in text or parts.query or parts.fragment:
        raise OutputError(f"‘{text}’ is no URL of a store", _FORM)
    if is_secret:
        raise OutputError(
            "a URL with a password would be seen by everybody who lists processes",
            "give passwords and keys in the settings of the store’s library: docs/season.md",
        )
    if parts.scheme in _OPEN and not is_unencrypted and host not in _THIS_MACHINE:
        raise OutputError(
            f"tests would go to ‘{text}’ unencrypted",
            "use a store with TLS, or --unencrypted if the network is yours alone",
        )
    return text.rstrip("/")


@contextlib.contextmanager
def place_in(url: str, work: Path, content: str, notes: list[str]) -> Iterator[str]:
    """Give the URL of the season's own place in a store; it is removed at the end.

    A run that is killed leaves it; the next one for that folder of results takes and removes it.

    Parameters
    ----------
    url : of the store, or of a folder in it
    work : the season's folder of work, which keeps the place's name
    content : what workers must find there
    notes : gets a sentence if the place cannot be removed: tests lie in it

    Raises
    ------
    OutputError
        If the store cannot be used.
    """
    note = work / "place-in-store"
    try:
        name = file_text(note, BUILD_RECORD)
    except PausewrightError:
        name = ""
    if len(name) != 2 * _N_TOKEN_BYTES or not name.isalnum():
        name = secrets.token_hex(_N_TOKEN_BYTES)
        write_file(note, name, private=True)
    store = store_of(f"{url}/pausewright-{name}")
    store.begin(content)
    try:
        yield store.url
    finally:
        try:
            store.clear()
        except StoreError as error:
            notes.append(f"{error.message}; tests lie there: remove it, or run this again")
