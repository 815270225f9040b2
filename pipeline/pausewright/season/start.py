"""Which engine a season runs on: processes of this machine, or a scheduler at an address."""

from __future__ import annotations

import ipaddress
import os
from typing import TYPE_CHECKING, Final
from urllib.parse import urlsplit

from pausewright.problems import OutputError, name_hint
from pausewright.season.store import checked_url

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager
    from pathlib import Path

    from pausewright.season.line import Engine
    from pausewright.season.run import Carried

_CARRIED: Final[dict[str, Carried]] = {"auto": "auto", "folder": "folder", "engine": "engine"}
_HINT: Final = "write it as the scheduler says it when it starts: tls://HOST:8786"


def carried_of(text: str, *, is_unencrypted: bool = False) -> tuple[Carried, str]:
    """Return how results travel, as it is typed, and the URL of the store if it is one.

    Raises
    ------
    OutputError
        If it is anything else, or a store that would carry tests in the open unasked.
    """
    if "://" in text:
        return "store", checked_url(text, is_unencrypted=is_unencrypted)
    if text not in _CARRIED:
        raise OutputError(
            f"results cannot travel by ‘{text}’",
            name_hint(text, _CARRIED, "write --results folder, engine, auto or a store’s URL"),
        )
    return _CARRIED[text], ""


def engine_of(
    address: str, n_workers: int, *, is_unencrypted: bool = False
) -> Callable[[Path], AbstractContextManager[Engine]]:
    """Return what gives the engine once something has to be done, told a folder for scratch.

    Parameters
    ----------
    address : of a scheduler; "" for workers of this machine
    n_workers : processes of this machine; 0: one for each processor
    is_unencrypted : whether tcp:// to another machine is wanted

    Raises
    ------
    OutputError
        If the address is none, or would carry tests in the open.
    """
    if address:
        host = _host_of(address, is_unencrypted=is_unencrypted)
        if n_workers:
            raise OutputError(
                "--workers are of this machine, and --scheduler has its own",
                "leave one of the two",
            )
    elif is_unencrypted:
        raise OutputError("--unencrypted belongs to --scheduler", "leave it")
    else:
        host = ""

    def engine(work: Path) -> AbstractContextManager[Engine]:
        try:
            from pausewright.season.dask_engine import AtAddress, OnThisMachine
        except ImportError as error:
            raise OutputError(
                "a season needs the package distributed, which is not installed",
                'pip install "pausewright[season]"',
            ) from error
        if address:
            return AtAddress(address, host)
        return OnThisMachine(n_workers or _n_processors(), work)

    return engine


def _host_of(address: str, *, is_unencrypted: bool) -> str:
    try:
        parts = urlsplit(address)
        host, port = parts.hostname, parts.port
    except ValueError:
        raise OutputError(f"‘{address}’ is no address of a scheduler", _HINT) from None
    if (
        parts.scheme not in {"tcp", "tls"}
        or not host
        or port is None
        or parts.path not in {"", "/"}
    ):
        raise OutputError(f"‘{address}’ is no address of a scheduler", _HINT)
    if parts.scheme == "tcp" and not is_unencrypted and not _is_this_machine(host):
        raise OutputError(
            f"‘{address}’ is on another machine, and tests would go there unencrypted",
            "use tls:// (docs/season.md says how), or --unencrypted if the network is yours alone",
        )
    return host


def _is_this_machine(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _n_processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
