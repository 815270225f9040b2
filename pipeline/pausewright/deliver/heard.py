"""What of a script a person has heard: which samples of which take were played.

It lies beside the script in `NAME.heard.json`, by the marks of takes: a question that is voiced
anew has not been heard, all others still have. That something was played is no proof that somebody
listened; who signs for the sound says that.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate
from typing import TYPE_CHECKING, Final

from pausewright.files.writing import unwritable, write_file
from pausewright.frozen import frozen
from pausewright.problems import OutputError
from pausewright.records.record_files import read_as, record_text
from pausewright.records.shapes import NOT_HEARD
from pausewright.records.signed_shapes import HeardTake, HeardTakes, ListeningLog

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from pausewright.records.shapes import RunningPlace, RunningTimes

ENDING: Final = ".heard.json"
"""Of the file, after the script's name."""
SLACK_S: Final = Fraction(1, 20)
"""So much of a sound's ends may be missing: players start and stop a little off."""
_PRACTICE: Final = "Practice "

Span = tuple[int, int]
Heard = dict[tuple[str, int], tuple[Span, ...]]
"""Spans by mark and length of the take, in samples."""


@frozen
class HeardQuestions:
    """How many questions of a version were heard whole, every reading of them."""

    n_heard: int
    n_all: int
    missing: tuple[str, ...]
    """Those that were not, in order of the test."""

    @property
    def sentence(self) -> str:
        """Return it in words, for where "not heard by a person yet" stands."""
        if not self.n_heard:
            return NOT_HEARD
        lost = ""
        if self.missing:
            *first, last = self.missing
            lost = f", not {', '.join(first)} and {last}" if first else f", not {last}"
        return f"heard: {self.n_heard} of {self.n_all} questions{lost}"


def heard_file(script: Path) -> Path:
    """Return where it lies."""
    return script.with_name(f"{script.stem}{ENDING}")


def read_heard(script: Path) -> Heard:
    """Return what has been heard; a file that cannot be read counts as none."""
    file = heard_file(script)
    found = read_as(file, HeardTakes) if file.exists() else None
    return {(one.take, one.n_samples): one.spans for one in (found.takes if found else ())}


def note_heard(script: Path, played: Iterable[tuple[str, int, Span]]) -> None:
    """Add what was played: mark of a take, its length, and the span of it, in samples.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    heard = read_heard(script)
    for take, n_samples, span in played:
        if take and n_samples and span[0] < span[1]:
            heard[take, n_samples] = _joined((*heard.get((take, n_samples), ()), span))
    takes = tuple(HeardTake(*key, spans) for key, spans in sorted(heard.items()))
    file = heard_file(script)
    try:
        write_file(file, record_text(HeardTakes(heard=1, takes=takes)), private=True)
    except OSError as error:
        raise unwritable(file, error) from error


def _joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(found[-1][1], end)
        else:
            found.append((start, end))
    return tuple(found)


def played_of(times: RunningTimes, log: ListeningLog) -> list[tuple[str, int, Span]]:
    """Return what of which take a listening page played, from its places on the track."""
    rate_hz = times.rate_hz
    found = []
    starts = accumulate((one.n_samples for one in times.places), initial=0)
    for one, start in zip(times.places, starts, strict=False):
        for from_s, to_s in log.played_s:
            first = max(0, int(Fraction(from_s) * rate_hz) - start)
            last = min(one.n_samples, int(Fraction(to_s) * rate_hz) - start)
            if one.take and first < last:
                found.append((one.take, one.n_samples, (first, last)))
    return found


def read_log(file: Path) -> ListeningLog:
    """Return the log of a listening page.

    Raises
    ------
    OutputError
        If it is none.
    """
    found = read_as(file, ListeningLog)
    if found is None or any(Fraction(a) >= Fraction(b) for a, b in found.played_s):
        raise OutputError(
            f"‘{file}’ is no log of a listening page", "save it there again, and give that file"
        )
    return found


def heard_questions(places: Sequence[RunningPlace], rate_hz: int, heard: Heard) -> HeardQuestions:
    """Return which questions were heard whole; practice, and words beside them, do not count."""
    is_heard: dict[str, bool] = {}
    for one in places:
        if not one.take:
            continue
        for number in numbers_of(one.about):
            is_heard[number] = is_heard.get(number, True) and _is_whole(one, rate_hz, heard)
    missing = tuple(number for number, whole in is_heard.items() if not whole)
    return HeardQuestions(len(is_heard) - len(missing), len(is_heard), missing)


def heard_sentence(script: Path, times: RunningTimes | None) -> str:
    """Return what was heard of a track as it was recorded; "not heard" if that is not known."""
    if times is None or not times.rate_hz:
        return NOT_HEARD
    return heard_questions(times.places, times.rate_hz, read_heard(script)).sentence


def _is_whole(
    one: RunningPlace, rate_hz: int, heard: Mapping[tuple[str, int], tuple[Span, ...]]
) -> bool:
    slack = int(SLACK_S * rate_hz)
    spans = heard.get((one.take, one.n_samples), ())
    return any(a <= slack and b >= one.n_samples - slack for a, b in spans)


def numbers_of(about: str) -> list[str]:
    """Return the questions that words belong to, without the letters of sub-questions."""
    if not about or about.startswith(_PRACTICE):
        return []
    first, _, last = about.partition("–")
    if last:
        return [str(number) for number in range(int(first), int(last) + 1)]
    return [first.rstrip("abcdefghijklmnopqrstuvwxyz")]
