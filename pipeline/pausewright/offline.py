"""No connection: libraries are told so before they are loaded, and commands refuse it.

The one exception is `fetch`, when a person calls `pausewright voices --add`.

`import pausewright`, which comes before every module of ours, calls `tell_libraries`; so a
notebook is as much off-line as the command. docs/cautions.md says what was tested.
"""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
import threading
import warnings
from collections import Counter
from typing import TYPE_CHECKING, ClassVar, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

LIBRARY_SETTINGS: Final = {
    "ORT_DISABLE_TELEMETRY": "1",  # onnxruntime; its function for that is not enough
    "ORT_TELEMETRY_DISABLED": "1",  # the same in its sources of July 2026
    "HF_HUB_OFFLINE": "1",  # huggingface_hub, which faster-whisper and tokenizers ask for files
    "HF_HUB_DISABLE_TELEMETRY": "1",
    "HF_HUB_DISABLE_UPDATE_CHECK": "1",
    "TRANSFORMERS_OFFLINE": "1",
    "DISABLE_TELEMETRY": "1",
    "DO_NOT_TRACK": "1",  # what several makers of libraries agreed on
}
"""Settings that keep libraries from connecting, as their documentation and sources name them."""

_LOOPBACK: Final = "127.0.0.1"
_CONNECTING: Final = frozenset(
    {
        "socket.bind",
        "socket.connect",
        "socket.getaddrinfo",
        "socket.gethostbyaddr",
        "socket.gethostbyname",
        "socket.getnameinfo",
        "socket.sendmsg",
        "socket.sendto",
    }
)
"""Events that Python reports before it does such a thing (Python's "Audit events table")."""


def tell_libraries() -> None:
    """Set what keeps libraries from connecting, whatever the user's environment says.

    Programs that we start inherit it. onnxruntime looks once, when it is loaded: whoever loaded
    it before us is warned.
    """
    too_late = "onnxruntime" in sys.modules and os.environ.get("ORT_DISABLE_TELEMETRY") != "1"
    os.environ.update(LIBRARY_SETTINGS)
    if too_late:
        warnings.warn(
            "onnxruntime was imported before pausewright, and may report to its makers: "
            "import pausewright first",
            RuntimeWarning,
            stacklevel=3,
        )


class _Gate:
    """Whether connections are refused now; a hook cannot be taken away again."""

    n_closed: int = 0
    is_hooked: bool = False
    fetching: ClassVar[set[int]] = set()
    """Threads that a person told to fetch a voice."""
    n_at_desks: int = 0
    """Desks and seasons that use this machine's loopback now."""
    named: ClassVar[Counter[str]] = Counter()
    """Hosts that a person named as a season's scheduler, and their addresses."""
    n_at_stores: int = 0
    """Things that are put into an object store now, or got from one, that a person named."""


@contextlib.contextmanager
def connections_refused() -> Iterator[None]:
    """Refuse every connection that Python code tries meanwhile, in all threads.

    Whoever tries gets a ConnectionError, as without a network, so that nothing is fetched in
    silence. Compiled libraries are not seen: `LIBRARY_SETTINGS` is for them.
    """
    if not _Gate.is_hooked:
        sys.addaudithook(_refuse)
        _Gate.is_hooked = True
    _Gate.n_closed += 1
    try:
        yield
    finally:
        _Gate.n_closed -= 1


@contextlib.contextmanager
def connections_allowed() -> Iterator[None]:
    """Let this thread connect meanwhile: for `fetch` alone, when a person adds a voice."""
    own = threading.get_ident()
    _Gate.fetching.add(own)
    try:
        yield
    finally:
        _Gate.fetching.discard(own)


@contextlib.contextmanager
def loopback_allowed() -> Iterator[None]:
    """Let this machine speak with itself meanwhile, over 127.0.0.1 alone: a desk, a season."""
    _Gate.n_at_desks += 1
    try:
        yield
    finally:
        _Gate.n_at_desks -= 1


@contextlib.contextmanager
def host_allowed(host: str) -> Iterator[None]:
    """Let this process connect to one host meanwhile: the scheduler that a person named.

    Raises
    ------
    OSError
        If the name is known to nobody.
    """
    with connections_allowed():
        rows = socket.getaddrinfo(host, None, type=socket.SOCK_STREAM)
    names = {host, *(str(row[4][0]) for row in rows)}
    _Gate.named.update(names)
    try:
        yield
    finally:
        _Gate.named.subtract(names)


@contextlib.contextmanager
def store_allowed() -> Iterator[None]:
    """Let this process connect meanwhile: to the object store that a person named for a season.

    Which hosts that are is said by the settings of the store's own library, and known to it alone.
    """
    _Gate.n_at_stores += 1
    try:
        yield
    finally:
        _Gate.n_at_stores -= 1


def _refuse(event: str, arguments: tuple[object, ...]) -> None:
    if event not in _CONNECTING or not _Gate.n_closed or _Gate.n_at_stores:
        return
    if threading.get_ident() in _Gate.fetching:
        return
    if _is_named(event, arguments):
        return
    if not (_Gate.n_at_desks and _is_loopback(event, arguments)):
        raise ConnectionError(errno.ENETDOWN, f"Pausewright makes no connections ({event})")


def _is_loopback(event: str, arguments: tuple[object, ...]) -> bool:
    """Return whether a socket is bound or connected to an address of this machine alone."""
    if event == "socket.getaddrinfo" and arguments:  # a number is looked up nowhere
        return arguments[0] == _LOOPBACK
    if event not in {"socket.bind", "socket.connect"} or len(arguments) != 2:
        return False
    address = arguments[1]
    return isinstance(address, tuple) and len(address) == 2 and address[0] == _LOOPBACK


def _is_named(event: str, arguments: tuple[object, ...]) -> bool:
    """Return whether it is a host that a person named, looked up or connected to."""
    if event == "socket.getaddrinfo" and arguments:
        host = arguments[0]
    elif event == "socket.connect" and len(arguments) == 2 and isinstance(arguments[1], tuple):
        host = arguments[1][0]
    else:
        return False
    return isinstance(host, str) and _Gate.named[host] > 0
