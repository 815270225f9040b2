"""ffmpeg as a process of its own that takes samples and leaves a file.

The only module that runs it.
"""

from __future__ import annotations

import contextlib
import subprocess
import tempfile
from functools import cache
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import ROOM_HINT, unwritable
from pausewright.problems import OutputError

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pausewright.sound.take import Pcm

_WHAT: Final = "the video encoder"
_LAST_WORDS_S: Final = 5
"""A failing process has this long to say why."""
_INSTALL: Final = 'type: pip install "pausewright[video]"; or build without --video'


class Feed:
    """One process that encodes while the next block is made."""

    def __init__(
        self,
        arguments: Sequence[str],
        part: Path,
        shown: Path,
        *,
        folder: Path,
    ) -> None:
        """Start the process, writing to `part`; messages name `shown`.

        Parameters
        ----------
        arguments : all but the program, its manners and the output; samples come from `pipe:0`
        folder : where it runs, so that `arguments` can name files without their folders

        Raises
        ------
        OutputError
            If the file cannot be written or there is no ffmpeg.
        """
        self._part = part
        self._shown = shown
        try:
            part.open("wb").close()
        except OSError as error:
            raise unwritable(shown, error, ROOM_HINT) from error
        command = [
            program(),
            *("-hide_banner", "-loglevel", "warning", "-nostdin", "-y"),
            *arguments,
            f"file:{part.absolute()}",
        ]
        self._log = tempfile.TemporaryFile()  # noqa: SIM115  closed with the process
        try:
            self._process = subprocess.Popen(  # noqa: S603  our own command, no shell
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=self._log,
                cwd=folder,
            )
        except OSError as error:
            self._log.close()
            raise OutputError(f"{_WHAT} cannot be started ({error.strerror})", _INSTALL) from error

    def add(self, block: Pcm) -> None:
        """Hand one block over."""
        if self._process.stdin is None:
            raise OutputError(f"{_WHAT} takes no samples", ROOM_HINT)
        try:
            self._process.stdin.write(block.tobytes())
        except OSError as error:
            raise self._failure() from error

    def close(self) -> tuple[str, ...]:
        """Wait for the process to end, see that the file is whole, and return what was said."""
        try:
            if self._process.stdin is not None:
                self._process.stdin.close()
        except OSError as error:
            raise self._failure() from error
        if self._process.wait() != 0 or self._part.stat().st_size == 0:
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


def program() -> str:
    """Return the path of ffmpeg, which comes with the extra `video`.

    Raises
    ------
    OutputError
        If it is not there.
    """
    try:
        import imageio_ffmpeg  # noqa: PLC0415  an extra

        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except (ImportError, RuntimeError) as error:
        raise OutputError(f"{_WHAT} is not on this machine", _INSTALL) from error


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
                [of, "-hide_banner", what],
                capture_output=True,
                timeout=60,
                check=True,
                stdin=subprocess.DEVNULL,
            )
            rows = [line.split() for line in done.stdout.decode("utf-8", "replace").splitlines()]
            names |= {row[1] for row in rows if len(row) > 2}
    return frozenset(names)
