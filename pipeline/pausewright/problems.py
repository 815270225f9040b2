"""What is wrong with a script, and where: the one shape of every message to an author.

PausewrightError            base of all errors that a user can cause or mend
├── ScriptError             the script has problems; carries all of them
├── FileError               a file is missing, no plain file, in a wrong place or too large
├── VoiceError              a voice is missing, broken or cannot say something
├── SoundError              a sound file cannot be read or written
├── TrackError              a delivered file cannot be read by the check
└── OutputError             an output cannot be written
"""

from __future__ import annotations

import contextlib
import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from pausewright.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where something stands in an author's file."""

    file: Path
    line: int
    """Counted from 1."""
    column: int
    """Counted from 1, in characters."""
    length: int = 1
    """Characters to underline, at least 1."""


@frozen
class Problem:
    """One thing that is wrong, in words for the author."""

    place: Place
    message: str
    """A plain sentence without full stop, naming the value found."""
    hint: str = ""
    """Something that the author can type or do."""
    severity: Severity = "error"
    code: str = ""
    """Stable mark for `--json`, for example `attribute-unknown`."""
    also: tuple[Place, ...] = ()
    """Other places that belong to it: the including file, the other of two statements."""
    choices: tuple[str, ...] = ()
    """Ways to say what stands at the place, the one that is taken first; () for other problems."""


class PausewrightError(Exception):
    """Base class; `exit_code` is what the command line returns."""

    exit_code = 2

    def __init__(self, message: str, hint: str = "") -> None:
        """Keep the sentence and, if there is one, what to do about it."""
        super().__init__(message)
        self.message = message
        self.hint = hint


class ScriptError(PausewrightError):
    """The script has problems; `problems` holds all of them, in file order."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        """Keep the problems; the message is the first one's."""
        errors = [p for p in problems if p.severity == "error"]
        super().__init__(errors[0].message if errors else "the script has problems")
        self.problems = tuple(problems)


class FileError(PausewrightError):
    """A file is missing, no plain file, outside its place, too large or unreadable."""


class VoiceError(PausewrightError):
    """A voice is missing or broken, or cannot say something."""


class SoundError(PausewrightError):
    """A sound file cannot be read or written."""


class TrackError(PausewrightError):
    """A delivered file cannot be read."""


class OutputError(PausewrightError):
    """An output cannot be written."""


class Problems:
    """A list of problems that grows while a script is read."""

    def __init__(self) -> None:
        """Start with none."""
        self._found: dict[Problem, None] = {}
        """In the order in which they were found; a dictionary, because there may be thousands."""

    def error(
        self,
        place: Place,
        message: str,
        hint: str = "",
        *,
        code: str = "",
        also: tuple[Place, ...] = (),
    ) -> None:
        """Add an error: nothing can be built."""
        self._add(Problem(place, message, hint, "error", code, also))

    def warn(
        self,
        place: Place,
        message: str,
        hint: str = "",
        *,
        code: str = "",
        also: tuple[Place, ...] = (),
        choices: tuple[str, ...] = (),
    ) -> None:
        """Add a warning: it can be built, but should be looked at."""
        self._add(Problem(place, message, hint, "warning", code, also, choices))

    def _add(self, problem: Problem) -> None:
        self._found.setdefault(problem)

    def extend(self, problems: Iterable[Problem]) -> None:
        """Take over problems found elsewhere."""
        for problem in problems:
            self._add(problem)

    @contextlib.contextmanager
    def collected(self) -> Iterator[None]:
        """Take over the problems of a `ScriptError` that ends this block, which is left then."""
        try:
            yield
        except ScriptError as error:
            self.extend(error.problems)

    @property
    def in_order(self) -> tuple[Problem, ...]:
        """All problems as they were found."""
        return tuple(self._found)

    @property
    def all(self) -> tuple[Problem, ...]:
        """All problems in file order."""
        return tuple(sorted(self._found, key=lambda p: (str(p.place.file), *_spot(p))))

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems that stop a build."""
        return tuple(p for p in self.all if p.severity == "error")

    def raise_errors(self) -> None:
        """Raise a `ScriptError` with all problems if one of them is an error."""
        if self.errors:
            raise ScriptError(self.all)


class HasProblems:
    """Something that was read, with all that is wrong with it; base of data classes."""

    __slots__ = ()
    problems: tuple[Problem, ...]

    @property
    def warnings(self) -> tuple[Problem, ...]:
        """What can be built but should be looked at."""
        return tuple(p for p in self.problems if p.severity == "warning")

    @property
    def has_errors(self) -> bool:
        """Whether something keeps it from being built."""
        return any(p.severity == "error" for p in self.problems)

    def raise_errors(self) -> None:
        """Raise a `ScriptError` with all problems if one of them is an error."""
        if self.has_errors:
            raise ScriptError(self.problems)


def _spot(problem: Problem) -> tuple[int, int]:
    return problem.place.line, problem.place.column


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that looks most like `word`, or None."""
    close = difflib.get_close_matches(word, sorted(known), n=1, cutoff=0.6)
    return close[0] if close else None


def name_hint(word: str, known: Iterable[str], otherwise: str) -> str:
    """Return a hint for a name that is not known: the nearest one, or what is said `otherwise`."""
    close = nearest(word, known)
    return f"did you mean {close}?" if close else otherwise
