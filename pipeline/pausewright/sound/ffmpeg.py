"""The bundled ffmpeg as a process of its own that takes samples and leaves a file.

The only module that runs it.
"""

from __future__ import annotations

import contextlib
import subprocess
import tempfile
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.sound.take import Pcm

ROOM_HINT: Final = "make room on the disk, or choose another folder with --out"

_LAST_WORDS_S: Final = 5
"""A failing process has this long to say why."""
_INSTALL: Final = "type: pip install --force-reinstall imageio-ffmpeg"


class Feed:
    """One process that encodes while the next block is made."""

    def __init__(
        self,
        arguments: Sequence[str],
        part: Path,
        shown: Path,
        *,
        what: str,
        instead: str = "",
        folder: Path | None = None,
        keeps_warnings: bool = False,
    ) -> None:
        """Start the process, writing to `part`; messages name `shown`.

        Parameters
        ----------
        arguments : all but the program, its manners and the output; samples come from `pipe:0`
        what : names the process in messages, for example "the MP3 encoder"
        instead : what to type where there is no ffmpeg
        folder : where it runs, so that `arguments` can name files without their folders
        keeps_warnings : whether `close` gives warnings too

        Raises
        ------
        OutputError
            If the file cannot be written or there is no ffmpeg.
        """
        self._part = part
        self._shown = shown
        self._what = what
        try:
            part.open("wb").close()
        except OSError as error:
            raise OutputError(*unwritable(shown, error)) from error
        command = [
            program(what, instead),
            *("-hide_banner", "-loglevel", "warning" if keeps_warnings else "error"),
            *("-nostdin", "-y"),
            *arguments,
            f"file:{part.absolute()}",
        ]
        self._log = tempfile.TemporaryFile()  # noqa: SIM115  closed with the process
        try:
            self._process = subprocess.Popen(  # noqa: S603  our own command, no shell
                command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=self._log,
                cwd=folder,
            )  # fmt: skip
        except OSError as error:
            self._log.close()
            raise OutputError(f"{what} cannot be started ({error.strerror})", _INSTALL) from error

    def add(self, block: Pcm) -> None:
        """Hand one block over."""
        if self._process.stdin is None:
            raise OutputError(f"{self._what} takes no samples", ROOM_HINT)
        try:
            self._process.stdin.write(block.tobytes())
        except OSError as error:
            raise self._failure() from error

    def close(self, *, n_bytes_least: int = 1) -> tuple[str, ...]:
        """Wait for the process to end, see that the file is whole, and return what was said."""
        try:
            if self._process.stdin is not None:
                self._process.stdin.close()
        except OSError as error:
            raise self._failure() from error
        if self._process.wait() != 0 or self._part.stat().st_size < n_bytes_least:
            raise self._failure()
        said = self._said()
        self._log.close()
        return said

    def abandon(self) -> None:
        """Stop the process."""
        self._process.kill()
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
        self._process.wait()
        self._log.close()

    def _said(self) -> tuple[str, ...]:
        self._log.seek(0)
        lines = self._log.read().decode("utf-8", "replace").splitlines()
        return tuple(line.strip() for line in lines if line.strip())

    def _failure(self) -> OutputError:
        """Return what to raise, with the last words of the process if it has any."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(_LAST_WORDS_S)
        self._process.kill()
        self._process.wait()
        said = () if self._log.closed else self._said()
        reason = f" ({said[-1]})" if said else ""
        return OutputError(f"‘{self._shown}’ cannot be written{reason}", ROOM_HINT)


def program(what: str, instead: str = "") -> str:
    """Return the path of the bundled ffmpeg.

    Raises
    ------
    OutputError
        If it is not there: `what` is missing then; `instead` is another way.
    """
    import imageio_ffmpeg  # noqa: PLC0415

    try:
        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError as error:
        hint = f"{_INSTALL}; or {instead}" if instead else _INSTALL
        raise OutputError(f"{what} is not on this machine", hint) from error


@cache
def abilities(of: str) -> frozenset[str]:
    """Return the names of the filters or encoders that an ffmpeg has.

    Parameters
    ----------
    of : path of the program; it is asked once
    """
    names: set[str] = set()
    for what in ("-filters", "-encoders"):
        with contextlib.suppress(OSError, subprocess.SubprocessError):
            done = subprocess.run(  # noqa: S603  our own command, no shell
                [of, "-hide_banner", what], capture_output=True, timeout=60, check=True,
                stdin=subprocess.DEVNULL,
            )  # fmt: skip
            rows = [line.split() for line in done.stdout.decode("utf-8", "replace").splitlines()]
            names |= {row[1] for row in rows if len(row) > 2}
    return frozenset(names)


def unwritable(path: Path, error: Exception) -> tuple[str, str]:
    """Return sentence and hint for a file that cannot be written."""
    reason = error.strerror if isinstance(error, OSError) else str(error)
    return f"‘{path}’ cannot be written ({reason or type(error).__name__})", ROOM_HINT
