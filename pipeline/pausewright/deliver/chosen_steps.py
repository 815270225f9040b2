"""A few steps out of a version: those of a question, of some questions, an announcement, a line.

What is chosen sounds as it does on the track: its readings, and the silences between them. The
silence after the last word is left out.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pausewright.frozen import frozen
from pausewright.plan.timeline import Say, Wait
from pausewright.problems import PausewrightError
from pausewright.script.references import QuestionSpan

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from pausewright.plan.timeline import Step

What: TypeAlias = Literal["line", "announcement", "practice", "questions", "question"]

WAYS: Final = "17, 17b, 4-7, practice:1, announcement:3 or line:42"
_FORMS: Final[dict[What, str]] = {
    "line": r"line:(?P<first>\d+)",
    "announcement": r"announcement:(?P<first>\d+)(?P<letter>[a-z]?)",
    "practice": r"practice:(?P<first>\d+)(?P<letter>[a-z]?)",
    "questions": r"(?P<first>\d+)[-–](?P<last>\d+)",
    "question": r"(?P<first>\d+)(?P<letter>[a-z]?)",
}
_N_NEIGHBOURS: Final = 3


@frozen
class Choice:
    """What a person asks to hear."""

    what: What
    first: int
    """Number of a line or question."""
    last: int
    """Of several questions; else equal to `first`."""
    letter: str = ""
    """Of a sub-question; "" for the whole question."""

    def __str__(self) -> str:
        """Return it in words, for sentences and file names."""
        last = f"-{self.last}" if self.what == "questions" else ""
        return f"{self.what} {self.first}{self.letter}{last}"


def read_choice(text: str) -> Choice:
    """Return what `text` asks for.

    Raises
    ------
    PausewrightError
        If it is none of `WAYS`.
    """
    for what, form in _FORMS.items():
        found = re.fullmatch(form, text.strip().lower())
        if found is not None:
            parts = found.groupdict()
            first = int(parts["first"])
            return Choice(what, first, int(parts.get("last") or first), parts.get("letter") or "")
    raise PausewrightError(f"‘{text}’ names nothing that can be heard", f"for example: {WAYS}")


def chosen(
    steps: Sequence[Step], choice: Choice, script: Path, lines: Sequence[str]
) -> tuple[Say | Wait, ...]:
    """Return the sounds that were chosen, with the silences between them.

    Where a question is said again later in the test, the first time is taken.

    Parameters
    ----------
    steps : of a version
    choice : what is asked for
    script : the file that the steps come from
    lines : of that file, without line ends

    Raises
    ------
    PausewrightError
        If there is nothing of the kind.
    """
    told = [step for step in steps if isinstance(step, Say | Wait)]
    if choice.what == "line":
        return _of_line(told, choice.first, script, lines)
    first = _first_run(told, lambda say: _is_of(say, choice))
    if first is None:
        raise PausewrightError(
            f"nothing is said for {choice}", "`pausewright outline` lists the questions; or line:42"
        )
    if choice.what != "questions":
        return tuple(told[first.start : first.stop])
    final = Choice("question", choice.last, choice.last)
    last = _first_run(told, lambda say: _is_of(say, final))
    if last is None or last.stop < first.stop:
        raise PausewrightError(
            f"no question {choice.last} follows question {choice.first}",
            "`pausewright outline` lists the questions",
        )
    return tuple(told[first.start : last.stop])


def _is_of(say: Say, choice: Choice) -> bool:
    ref = say.question
    if ref is None:
        return False
    if isinstance(ref, QuestionSpan):
        return choice.what == "questions" and choice.first <= ref.last and ref.first <= choice.last
    if choice.what == "announcement" and say.role != "announcement":
        return False
    return (
        choice.first <= ref.number <= choice.last
        and ref.practice == (choice.what == "practice")
        and choice.letter in {"", ref.letter}
    )


def _first_run(told: Sequence[Say | Wait], is_wanted: Callable[[Say], bool]) -> range | None:
    """Return the first stretch of steps whose sounds are all wanted, from sound to sound."""
    start = stop = None
    for index, step in enumerate(told):
        if isinstance(step, Wait):
            continue
        if is_wanted(step):
            start = index if start is None else start
            stop = index + 1
        elif start is not None:
            break
    return None if start is None or stop is None else range(start, stop)


def _of_line(
    told: Sequence[Say | Wait], line: int, script: Path, lines: Sequence[str]
) -> tuple[Say | Wait, ...]:
    """Return what begins on a line of the script, once; else the sentence that goes on there."""
    said = [step for step in told if isinstance(step, Say) and step.element.place.file == script]
    spoken = sorted({step.element.place.line for step in said})
    at = line if line in spoken else _sentence_above(line, spoken, lines)
    if at is None:
        near = sorted(spoken, key=lambda one: abs(one - line))[:_N_NEIGHBOURS]
        raise PausewrightError(
            f"nothing is said on line {line}",
            "lines near it that are heard: " + ", ".join(map(str, sorted(near))) if near else "",
        )
    found: list[Say | Wait] = []
    heard = set()
    between: list[Wait] = []
    for step in told:
        if isinstance(step, Wait):
            between.append(step)
            continue
        is_wanted = step in said and step.element.place.line == at
        if is_wanted and step.element in heard:
            break
        if is_wanted:
            heard.add(step.element)
            found += [*(between if found else ()), step]
        between.clear()
    return tuple(found)


def _sentence_above(line: int, spoken: Sequence[int], lines: Sequence[str]) -> int | None:
    """Return the line on which the paragraph's last sentence before `line` begins."""
    above = max((one for one in spoken if one < line), default=None)
    if above is None or line > len(lines) or not all(map(str.strip, lines[above - 1 : line])):
        return None
    return above
