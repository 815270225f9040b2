"""Dependencies that could connect are limited to releases that were watched."""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parent.parent

WATCHED: Final = {
    "av": "18.1.0",
    "cryptography": "50.0.2",
    "dask": "2026.8.0",
    "distributed": "2026.8.0",
    "faster-whisper": "1.2.1",
    "fontpkg-atkinson-hyperlegible": "1.6",
    "fontpkg-noto-sans": "2.15",
    "fsspec": "2026.9.0",
    "hibari-tts": "0.2.1",
    "huggingface-hub": "2.4.0",
    "imageio-ffmpeg": "0.8.1",
    "lxml": "6.1.3",
    "numpy": "2.4.6",
    "onnxruntime": "1.32.0",
    "piper-tts": "1.8.0",
    "starlette": "1.10.0",
    "typst": "0.15.2",
    "uvicorn": "0.54.0",
}
"""Release of each dependency with code for a network that tests/test_no_connection.py watched;
faster-whisper and the fonts have it in what they load.

Run that test (scripts/test.py --only long) with a newer one before its limit is raised.
"""
BY_MINOR: Final = {"onnxruntime"}
"""It began to report to its makers with a minor release (1.29)."""

_PYTHON: Final = re.compile(
    rb"^\s*(?:import|from)\s.*\b(?:socket|urllib\.request|http\.(?:client|server)|ftplib|smtplib"
    rb"|requests|urllib3|aiohttp|httpx2?)\b",
    re.MULTILINE,
)
_COMPILED: Final = re.compile(rb"\bgetaddrinfo\b|\bWS2_32\.dll\b", re.IGNORECASE)
_BEGINNINGS: Final = (b"\x7fELF", b"MZ", b"\xcf\xfa\xed\xfe", b"\xca\xfe\xba\xbe")
"""Of programs and libraries on Linux, Windows and macOS."""


def asked_for() -> dict[str, Requirement]:
    """Return what pyproject.toml asks for, with the ear, seasons and the videos."""
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    project = tomllib.loads(text)["project"]
    extras = project["optional-dependencies"]
    rows = [*project["dependencies"], *extras["ear"], *extras["season"], *extras["video"]]
    return {canonicalize_name((one := Requirement(row)).name): one for row in rows}


def files_of(name: str) -> Iterator[Path]:
    """Yield the files of an installed distribution, without its own tests."""
    for file in metadata.files(name) or ():
        if not {"test", "tests", "testing"} & set(file.parts):
            yield Path(str(file.locate()))


def could_connect(name: str) -> bool:
    """Tell whether an installed distribution holds code for a network."""
    for file in files_of(name):
        body = file.read_bytes() if file.is_file() else b""
        if file.suffix == ".py" and _PYTHON.search(body):
            return True
        if body.startswith(_BEGINNINGS) and _COMPILED.search(body):
            return True
    return False


@pytest.mark.parametrize("name", WATCHED)
def test_no_release_is_installed_that_nobody_watched(name: str) -> None:
    """The next major release is refused until it was watched; of some the next minor one."""
    limits = asked_for()[name].specifier
    watched = Version(WATCHED[name])
    major, minor = watched.major, watched.minor
    following = f"{major}.{minor + 1}" if name in BY_MINOR else f"{major + 1}"

    assert watched in limits
    assert Version(following) not in limits


@pytest.mark.long
def test_all_that_could_connect_are_limited() -> None:
    """A dependency that holds code for a network, in Python or compiled, stands in the table."""
    try:
        found = {name for name in asked_for() if could_connect(name)}
    except metadata.PackageNotFoundError as missing:
        pytest.skip(f"{missing} is not installed: its code was not looked through")

    assert found - WATCHED.keys() == set()
